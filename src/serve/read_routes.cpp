#include <algorithm>
#include <charconv>
#include <chrono>
#include <ctime>
#include <limits>
#include <variant>

#include <fmt/chrono.h>
#include <fmt/format.h>

#include "build/codec.h"
#include "counsel/counsel_json.h"
#include "quantity/text.h"
#include "record/record.h"
#include "record/seal.h"
#include "serve/routes.h"
#include "serve/says.h"
#include "serve/stations_json.h"
#include "stations/station_work.h"

namespace fettle::serve {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;

/// How long the list of engines may take to work out verdicts nobody has asked for yet.
constexpr std::chrono::milliseconds patience{300};

ordered_json undo_step(Shop& shop, std::optional<ledger::EntryNumber> number) {
  const auto entry = number ? shop.ledger().entry(*number) : std::nullopt;
  if (!entry) {
    return nullptr;
  }
  return {{"entry", entry->number}, {"by", entry->by}, {"at", entry->at}, {"says", says(*entry)}};
}

std::string layout_of(const json& document) {
  const auto engine = document.find("engine");
  if (engine == document.end() || !engine->is_object()) {
    return {};
  }
  const auto layout = engine->find("layout");
  return layout != engine->end() && layout->is_string() ? layout->get<std::string>() : std::string();
}

ordered_json counts_json(const Counts& counts) {
  return {{"holds", counts.verdicts.holds},
          {"fails", counts.verdicts.fails},
          {"too_close", counts.verdicts.too_close},
          {"open", counts.verdicts.open}};
}

ordered_json operations_json(const ledger::Entry& entry) {
  ordered_json list = ordered_json::array();
  if (entry.kind == ledger::EntryKind::create || entry.kind == ledger::EntryKind::import) {
    return list;  // the whole document: the export has it
  }
  for (const ledger::Step& step : entry.steps) {
    ordered_json one{{"path", step.path}};
    if (step.before) {
      one["before"] = *step.before;
    }
    if (step.value) {
      one["value"] = *step.value;
    }
    list.push_back(std::move(one));
  }
  return list;
}

ordered_json entry_json(const ledger::Entry& entry) {
  return {{"entry", entry.number},
          {"at", entry.at},
          {"by", entry.by},
          {"device", entry.device},
          {"kind", to_text(entry.kind)},
          {"says", says(entry)},
          {"operations", operations_json(entry)},
          {"undoes", entry.undoes ? ordered_json(*entry.undoes) : ordered_json(nullptr)}};
}

/// A file's name out of an engine's: letters and digits that are safe everywhere.
std::string file_name(const std::string& name) {
  std::string safe;
  for (const char c : name) {
    const bool plain =
        (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '-';
    if (plain || (!safe.empty() && safe.back() != '_')) {
      safe += plain ? c : '_';
    }
  }
  safe = safe.substr(0, 60);
  safe.erase(safe.find_last_not_of("._-") + 1);
  return safe.empty() ? "engine" : safe;
}

}  // namespace

std::optional<std::int64_t> number_asked(const Asked& asked, const std::string& key, std::int64_t least,
                                         std::int64_t most, build::Problems& problems) {
  const auto given = asked.query.find(key);
  if (given == asked.query.end()) {
    return std::nullopt;
  }
  std::int64_t number = 0;
  const char* end = given->second.data() + given->second.size();
  const auto read = std::from_chars(given->second.data(), end, number);
  if (read.ec != std::errc() || read.ptr != end || number < least || number > most) {
    problems.push_back({key, given->second, fmt::format("a whole number from {} to {}", least, most), "50"});
    return std::nullopt;
  }
  return number;
}

Answer no_such_engine(const std::string& id) {
  return error_answer(404, "not_found",
                      fmt::format("There is no engine '{}' in the ledger.", id.substr(0, 64)));
}

std::string name_of(const json& document, const std::string& otherwise) {
  const auto name = document.find("name");
  return name != document.end() && name->is_string() ? name->get<std::string>() : otherwise;
}

void add_undo_state(Shop& shop, const std::string& id, ordered_json& body) {
  const ledger::UndoState state = shop.ledger().undo_state(id);
  body["can_undo"] = undo_step(shop, state.undo);
  body["can_redo"] = undo_step(shop, state.redo);
}

Answer list_engines(Shop& shop, const Asked& asked, const std::string& /*id*/) {
  const auto flag = asked.query.find("archived");
  const bool archived = flag != asked.query.end() && flag->second == "true";
  const auto until = std::chrono::steady_clock::now() + patience;
  ordered_json rows = ordered_json::array();
  for (const ledger::EngineSummary& summary : shop.ledger().engines()) {
    const auto view = summary.archived == archived ? shop.ledger().engine(summary.id) : std::nullopt;
    if (!view) {
      continue;
    }
    const ledger::EngineSummary& now = view->summary;
    auto counts = shop.proofs().counts(now.id, now.version);
    if (!counts && std::chrono::steady_clock::now() < until) {
      counts = counts_of(shop.proofs().of(now.id, now.version, view->document)->report());
    }
    rows.push_back({{"id", now.id},
                    {"name", name_of(view->document, now.name)},
                    {"layout", layout_of(view->document)},
                    {"version", now.version},
                    {"changed_at", now.changed_at},
                    {"by", now.changed_by},
                    {"verdicts", counts ? counts_json(*counts) : ordered_json(nullptr)},
                    {"mistakes", counts ? ordered_json(counts->mistakes) : ordered_json(nullptr)}});
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const auto& a, const auto& b) { return a["name"] < b["name"]; });
  return json_answer(200, {{"engines", std::move(rows)}});
}

Answer read_engine(Shop& shop, const Asked& /*asked*/, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto proof = shop.proofs().of(id, view->summary.version, view->document);
  ordered_json body{{"id", id},
                    {"name", name_of(view->document, view->summary.name)},
                    {"version", view->summary.version},
                    {"archived", view->summary.archived},
                    {"document", view->document}};
  if (!proof->problems().empty()) {
    body["problems"] = problems_json(proof->problems());
  }
  add_undo_state(shop, id, body);
  return json_text_answer(200, with_members(body, {{"report", proof->json()}}));
}

Answer read_picture(Shop& shop, const Asked& asked, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto given = asked.query.find("station");
  const std::string station = given == asked.query.end() ? "" : given->second;
  const auto all = stations::station_work();
  if (std::none_of(all.begin(), all.end(), [&](const auto& one) { return one.id == station; })) {
    return error_answer(
        400, "bad_request", "No station of this name is drawn.",
        {{"station", quantity::shown_text(station), "the id of a station (/api/stations)", "cam"}});
  }
  const auto proof = shop.proofs().of(id, view->summary.version, view->document);
  const ordered_json body{{"version", view->summary.version}};
  return json_text_answer(200, with_members(body, {{"picture", proof->picture(station)}}));
}

Answer read_counsel(Shop& shop, const Asked& /*asked*/, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto read = shop.proofs().builds()->of(view->document);
  if (!read->build) {
    return error_answer(422, "unsound", "The build is not sound: nothing can be weighed.", read->problems);
  }
  ordered_json body = counsel::counsel_json(counsel::counsel(*read->build));
  body["version"] = view->summary.version;
  return json_answer(200, body);
}

/// The report of the engine that an answer compares with: another, or the same as of an entry.
std::variant<std::shared_ptr<const Proof>, Answer> other_proof(Shop& shop, const Asked& asked,
                                                               const std::string& id) {
  build::Problems problems;
  const auto entry = number_asked(asked, "at", 1, std::numeric_limits<std::int64_t>::max(), problems);
  const auto with = asked.query.find("with");
  if (!problems.empty() || entry.has_value() == (with != asked.query.end())) {
    problems.push_back({"at, with", "", "an entry of this engine, or another engine", "?at=57"});
    return error_answer(400, "bad_request", "It is not said with what to compare.", problems);
  }
  if (entry) {
    const auto past = shop.ledger().engine_as_of(id, *entry);
    return past ? std::variant<std::shared_ptr<const Proof>, Answer>(
                      shop.proofs().of(id, past->version, past->state.document))
                : error_answer(404, "not_found",
                               fmt::format("The engine was not there yet at entry {}.", *entry));
  }
  const auto other = shop.ledger().engine(with->second);
  return other ? std::variant<std::shared_ptr<const Proof>, Answer>(
                     shop.proofs().of(with->second, other->summary.version, other->document))
               : no_such_engine(with->second);
}

Answer compare_engine(Shop& shop, const Asked& asked, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto other = other_proof(shop, asked, id);
  if (const auto* refusal = std::get_if<Answer>(&other)) {
    return *refusal;
  }
  const auto now = shop.proofs().of(id, view->summary.version, view->document);
  const auto& then = std::get<std::shared_ptr<const Proof>>(other);
  return json_text_answer(200, with_members({{"version", view->summary.version}},
                                            {{"moved", moved_json(then->report(), now->report())}}));
}

Answer read_history(Shop& shop, const Asked& asked, const std::string& id) {
  build::Problems problems;
  const auto before = number_asked(asked, "before", 1, std::numeric_limits<std::int64_t>::max(), problems);
  const auto most = number_asked(asked, "most", 1, 1000, problems);
  if (!problems.empty()) {
    return error_answer(400, "bad_request", "The history cannot be asked so.", problems);
  }
  if (!shop.ledger().engine(id)) {
    return no_such_engine(id);
  }
  const auto page = shop.ledger().history(id, before, static_cast<int>(most.value_or(50)));
  ordered_json entries = ordered_json::array();
  for (const ledger::Entry& entry : page.entries) {
    entries.push_back(entry_json(entry));
  }
  return json_answer(200, {{"entries", std::move(entries)}});
}

Answer export_engine(Shop& shop, const Asked& /*asked*/, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto read = shop.proofs().builds()->of(view->document);
  const ordered_json document = read->build ? build::write_build(*read->build) : ordered_json(view->document);
  Answer answer = json_text_answer(200, document.dump(2) + "\n");
  answer.headers.emplace_back("Content-Disposition",
                              fmt::format("attachment; filename=\"{}.json\"",
                                          file_name(name_of(view->document, view->summary.name))));
  return answer;
}

Answer read_record(Shop& shop, const Asked& asked, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto read = shop.proofs().builds()->of(view->document);
  if (!read->build) {
    return error_answer(422, "unsound", "No record can be written of a build that is not sound.",
                        read->problems);
  }
  const auto proof = shop.proofs().of(id, view->summary.version, view->document);
  record::RecordOptions options;
  options.written_at = fmt::format("{:%Y-%m-%d %H:%M} UTC", fmt::gmtime(std::time(nullptr)));
  const auto system = asked.query.find("system");
  options.system = system != asked.query.end() && system->second == "metric" ? quantity::System::metric
                                                                             : quantity::System::inch;
  Answer answer{200, "text/html; charset=utf-8",
                record::sealed(record::record_html(*read->build, proof->report(), options), nullptr)};
  // It is one file with its style within and nothing that runs.
  answer.headers = {
      {"Cache-Control", "no-store"},
      {"Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"},
      {"Content-Disposition", fmt::format("inline; filename=\"{} record.html\"",
                                          file_name(name_of(view->document, view->summary.name)))}};
  return answer;
}

Answer read_stations(Shop& /*shop*/, const Asked& /*asked*/, const std::string& /*id*/) {
  return json_answer(200, {{"stations", stations_json()}});
}

Answer read_schema(Shop& /*shop*/, const Asked& /*asked*/, const std::string& /*id*/) {
  return json_answer(200, build::build_schema());
}

}  // namespace fettle::serve
