#include "cli/ledger_command.h"

#include <ostream>

#include <fmt/format.h>

#include "build/codec.h"
#include "build/strict_json.h"
#include "cli/input.h"
#include "cli/ledger_path.h"
#include "cli/whole_file.h"
#include "serve/reading_ids.h"
#include "serve/shop.h"

namespace fettle::cli {
namespace {

using ledger::Ledger;
using nlohmann::json;
using nlohmann::ordered_json;

constexpr std::size_t most_of_a_history = std::size_t{1} << 30;

Ledger open(const LedgerRequest& request, ledger::Access access) {
  ledger::Options options = serve::build_ledger_options();
  options.file.access = access;
  return Ledger(access == ledger::Access::create
                    ? ledger_or_default(request.ledger)
                    : (request.ledger.empty() ? default_ledger() : std::filesystem::path(request.ledger)),
                options);
}

std::string document_text(const json& document, const char* key) {
  const auto found = document.find(key);
  return found != document.end() && found->is_string() ? found->get<std::string>() : std::string();
}

std::string name_of(const ledger::EngineView& view) {
  const std::string name = document_text(view.document, "name");
  return name.empty() ? view.summary.name : name;
}

std::string layout_of(const json& document) {
  const auto engine = document.find("engine");
  return engine != document.end() && engine->is_object() ? document_text(*engine, "layout") : std::string();
}

/// The engine of that id, or the only one of that name; else why not.
std::optional<ledger::EngineView> find_engine(const Ledger& ledger, const std::string& wanted,
                                              std::ostream& err) {
  if (auto view = ledger.engine(wanted)) {
    return view;
  }
  std::optional<ledger::EngineView> found;
  for (const auto& summary : ledger.engines()) {
    auto view = ledger.engine(summary.id);
    if (!view || name_of(*view) != wanted) {
      continue;
    }
    if (found) {
      err << fmt::format("fettle: several engines are named '{}': give the id ({} or {})\n", wanted,
                         found->summary.id, summary.id);
      return std::nullopt;
    }
    found = std::move(view);
  }
  if (!found) {
    err << fmt::format(
        "fettle: there is no engine '{}' in this ledger; 'fettle ledger list' shows those there are\n",
        wanted);
  }
  return found;
}

std::string export_text(const Ledger& ledger, const ledger::EngineView& view, bool history) {
  if (history) {
    return ledger.export_history(view.summary.id).value().dump(2) + "\n";
  }
  const build::ReadBuild read = build::read_document(view.document);
  return (read.build ? build::write_build(*read.build) : ordered_json(view.document)).dump(2) + "\n";
}

void tell_refused(const ledger::WriteResult& result, std::ostream& err) {
  const auto* refused = std::get_if<ledger::Refused>(&result);
  err << "fettle: nothing was taken in: " << (refused != nullptr ? refused->message : "the ledger refused it")
      << '\n';
  if (refused != nullptr && refused->objections) {
    for (const json& one : *refused->objections) {
      const build::Problem problem{one.value("place", ""), one.value("given", ""), one.value("accepted", ""),
                                   one.value("example", "")};
      err << "fettle: " << problem.message() << '\n';
    }
  }
}

/// A history's last document is held to what every document is held to.
bool history_is_sound(const json& history, std::ostream& err) {
  const auto document = history.find("document");
  if (document == history.end()) {
    return true;  // the ledger says what is missing
  }
  const build::ReadBuild read = build::read_document(*document);
  for (const auto& problem : read.problems) {
    err << "fettle: document: " << problem.message() << '\n';
  }
  return read.build.has_value();
}

}  // namespace

int ledger_list(const LedgerRequest& request, std::ostream& out) {
  const Ledger ledger = open(request, ledger::Access::read_only);
  ordered_json list = ordered_json::array();
  for (const auto& summary : ledger.engines()) {
    const auto view = ledger.engine(summary.id);
    if (!view || (view->summary.archived && !request.archived)) {
      continue;
    }
    const auto& now = view->summary;
    if (request.json) {
      list.push_back({{"id", now.id},
                      {"name", name_of(*view)},
                      {"layout", layout_of(view->document)},
                      {"version", now.version},
                      {"entries", now.entry_count},
                      {"created", now.created},
                      {"changed_at", now.changed_at},
                      {"by", now.changed_by},
                      {"archived", now.archived}});
    } else {
      out << fmt::format("{:12} {:24} {:10} {:>6} entries, {} by {}{}\n", now.id, name_of(*view),
                         layout_of(view->document), now.entry_count, now.changed_at, now.changed_by,
                         now.archived ? ", put away" : "");
    }
  }
  if (request.json) {
    out << ordered_json{{"engines", list}}.dump(2) << '\n';
  }
  return 0;
}

int ledger_export(const LedgerRequest& request, std::ostream& out, std::ostream& err) {
  const Ledger ledger = open(request, ledger::Access::read_only);
  const auto view = find_engine(ledger, request.engine, err);
  if (!view) {
    return 1;
  }
  const std::string text = export_text(ledger, *view, request.history);
  if (request.file.empty() || request.file == "-") {
    out << text;
    return 0;
  }
  if (const auto problem = write_whole_file(request.file, text)) {
    err << "fettle: " << *problem << '\n';
    return 2;
  }
  return 0;
}

int ledger_import(const LedgerRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  const InputText input = read_input(request.file, in, most_of_a_history);
  if (!input.text) {
    err << "fettle: " << input.problem << '\n';
    return 2;
  }
  build::StrictJson read =
      build::read_strict_json(*input.text, {.bytes = most_of_a_history, .depth = ledger::maximum_depth});
  for (const auto& problem : read.problems) {
    err << "fettle: " << problem.message() << '\n';
  }
  if (!read.problems.empty()) {
    return 2;
  }
  const bool history = read.value.is_object() && read.value.contains("fettle_history");
  if (history && !history_is_sound(read.value, err)) {
    return 2;
  }
  Ledger ledger = open(request, ledger::Access::create);
  const ledger::Writer writer{request.by.empty() ? "command" : request.by, "command", std::nullopt};
  if (!history) {
    serve::give_ids(read.value);
  }
  const std::string name = read.value.is_object() ? document_text(read.value, "name") : std::string();
  const auto result = history ? ledger.import_history(read.value, writer)
                              : ledger.create(name.empty() ? "unnamed" : name, read.value, writer);
  const auto* applied = std::get_if<ledger::Applied>(&result);
  if (applied == nullptr) {
    tell_refused(result, err);
    return 2;
  }
  if (request.json) {
    out << ordered_json{{"id", applied->engine}, {"version", applied->version}}.dump() << '\n';
  } else {
    out << applied->engine << '\n';
  }
  return 0;
}

int ledger_backup(const LedgerRequest& request, std::ostream& out) {
  const Ledger ledger = open(request, ledger::Access::read_only);
  ledger.backup(request.file);
  if (request.json) {
    out << ordered_json{{"backup", request.file}, {"latest_entry", ledger.latest_entry()}}.dump() << '\n';
  }
  return 0;
}

int ledger_check(const LedgerRequest& request, std::ostream& out) {
  const Ledger ledger = open(request, ledger::Access::read_only);
  const ledger::CheckReport report = ledger.check();
  // A document that no longer reads as a build is no fault of the ledger's, but worth knowing.
  std::vector<std::string> unsound;
  for (const auto& summary : ledger.engines()) {
    const auto view = ledger.engine(summary.id);
    if (view && !build::read_document(view->document).build) {
      unsound.push_back(summary.id);
    }
  }
  if (request.json) {
    out << ordered_json{{"engines", report.engines},
                        {"entries", report.entries},
                        {"faults", report.faults},
                        {"unsound", unsound}}
               .dump(2)
        << '\n';
  } else {
    out << fmt::format("{} engines, {} entries: {}\n", report.engines, report.entries,
                       report.faults.empty() ? "sound" : "not sound");
    for (const std::string& fault : report.faults) {
      out << "  " << fault << '\n';
    }
    for (const std::string& id : unsound) {
      out << "  engine " << id << ": its document is no longer accepted as a build\n";
    }
    if (!report.faults.empty()) {
      out << "Keep this file as it is, and go on with the latest backup that is sound.\n";
    }
  }
  return report.faults.empty() ? 0 : 1;
}

}  // namespace fettle::cli
