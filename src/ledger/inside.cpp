#include "ledger/inside.h"

#include <algorithm>
#include <stdexcept>

#include <fmt/format.h>

namespace fettle::ledger {
namespace {

using nlohmann::json;

const Options& checked(const Options& options) {
  if (options.file.busy_timeout_ms <= 0 || options.maximum_document_bytes == 0 ||
      (options.file.maximum_pages && *options.file.maximum_pages < 1)) {
    throw std::invalid_argument("Ledger: the limits in its options are greater than nought");
  }
  return options;
}

}  // namespace

Ledger::Inside::Inside(const std::filesystem::path& path, const Options& wanted, Environment* given)
    : file(path),
      options(checked(wanted)),
      environment(given != nullptr ? *given : system),
      database(open_file(path, wanted.file)),
      store(database, path) {}

std::optional<Refused> unfit_text(const char* what, const std::string& text) {
  const bool control = std::any_of(text.begin(), text.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 || byte == 0x7F;
  });
  if (text.empty() || text.size() > 200 || control || unfit(json(text))) {
    return Refused{Reason::invalid, "",
                   fmt::format("the {} is 1 to 200 bytes of UTF-8 without control characters", what)};
  }
  return std::nullopt;
}

std::optional<Refused> unfit_writer(const Writer& writer) {
  if (auto refused = unfit_text("person", writer.by)) {
    return refused;
  }
  if (auto refused = unfit_text("device", writer.device)) {
    return refused;
  }
  return writer.change_key ? unfit_text("change key", *writer.change_key) : std::nullopt;
}

bool is_engine_id(std::string_view text) {
  return !text.empty() && text.size() <= 64 && std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
  });
}

std::optional<Refused> unfit_document(const json& document, const Options& options) {
  if (!document.is_object()) {
    return Refused{Reason::invalid, "", "a document is one JSON object"};
  }
  std::string text;
  if (const auto wrong = unfit(document, maximum_depth, text)) {
    return Refused{Reason::invalid, "", "the document holds " + *wrong};
  }
  if (const auto size = text.size(); size > options.maximum_document_bytes) {
    return Refused{Reason::too_large, "",
                   fmt::format("the document would have {} bytes; {} are accepted", size,
                               options.maximum_document_bytes)};
  }
  return std::nullopt;
}

std::optional<Refused> unsound_document(const json& document, const Options& options) {
  auto objections = options.objections ? options.objections(document) : std::nullopt;
  if (!objections) {
    return std::nullopt;
  }
  return Refused{Reason::unsound, "", "the document would not be sound", std::move(objections)};
}

std::optional<WriteResult> Ledger::Inside::repeated(const Writer& writer,
                                                    const std::function<bool(const Entry&)>& same_request) {
  const auto earlier = writer.change_key ? store.entry_with_key(*writer.change_key) : std::nullopt;
  if (!earlier) {
    return std::nullopt;
  }
  if (!same_request(*earlier)) {
    return Refused{Reason::key_reused, "",
                   fmt::format("the change key '{}' belongs to entry {}, which is another request",
                               *writer.change_key, earlier->number)};
  }
  const auto then = rebuilt(store, earlier->engine, earlier->number);
  const auto now = store.summary(earlier->engine);
  if (!then || !now) {
    throw store.damaged(fmt::format("entry {} belongs to no engine", earlier->number));
  }
  return Repeated{{earlier->engine, earlier->number, earlier->number, then->state}, now->version};
}

Entry Ledger::Inside::entry_by(const Writer& writer, EntryKind kind, const std::string& engine) {
  Entry entry;
  entry.engine = engine;
  entry.at = iso8601(environment.now());
  entry.by = writer.by;
  entry.device = writer.device;
  entry.kind = kind;
  entry.change_key = writer.change_key;
  return entry;
}

Applied Ledger::Inside::append(Entry& entry, EngineRow& row) {
  store.append(entry);
  row.version = entry.number;
  ++row.entry_count;
  store.put_engine(row);
  return {row.id, entry.number, entry.number, row.state};
}

std::string Ledger::Inside::new_engine_id() {
  constexpr int tries = 100;
  for (int i = 0; i < tries; ++i) {
    std::string id = environment.new_engine_id();
    if (!is_engine_id(id)) {
      throw std::invalid_argument(fmt::format("Environment::new_engine_id: '{}' is no id", id));
    }
    if (!store.summary(id)) {
      return id;
    }
  }
  throw std::invalid_argument("Environment::new_engine_id: gives only ids that are taken");
}

WriteResult Ledger::Inside::write(EntryKind kind, const std::string& engine, const Writer& writer,
                                  const std::function<bool(const Entry&)>& same_request,
                                  const std::function<Planned(const EngineRow&)>& plan) {
  if (auto refused = unfit_writer(writer)) {
    return *refused;
  }
  return writing([&]() -> WriteResult {
    const auto same = [&](const Entry& entry) {
      return entry.kind == kind && entry.engine == engine && same_request(entry);
    };
    if (auto answer = repeated(writer, same)) {
      return *answer;
    }
    auto row = store.engine(engine);
    if (!row) {
      return Refused{Reason::missing, "", "there is no such engine"};
    }
    auto planned = plan(*row);
    if (auto* conflict = std::get_if<Conflict>(&planned)) {
      return std::move(*conflict);
    }
    if (auto* refused = std::get_if<Refused>(&planned)) {
      return std::move(*refused);
    }
    auto& [steps, after, undoes, redoes] = std::get<Plan>(planned);
    if (auto refused = unfit_document(after.document, options)) {
      return *refused;
    }
    if (kind == EntryKind::change) {
      if (auto refused = unsound_document(after.document, options)) {
        return *refused;
      }
    }
    Entry entry = entry_by(writer, kind, engine);
    entry.previous = row->version;
    entry.steps = std::move(steps);
    entry.undoes = undoes;
    entry.redoes = redoes;
    row->state = std::move(after);
    return append(entry, *row);
  });
}

WriteResult Ledger::Inside::begin(const std::string& name, const json& document,
                                  const std::optional<json>& origin, const Writer& writer) {
  if (auto refused = unfit_text("name", name)) {
    return *refused;
  }
  if (auto refused = unsound_document(document, options)) {
    return *refused;
  }
  EngineRow row;
  row.id = new_engine_id();
  row.state = {name, false, document};
  Entry entry = entry_by(writer, EntryKind::create, row.id);
  entry.steps.resize(2);
  entry.steps[0].path = name_path;
  entry.steps[0].value = name;
  entry.steps[1].value = document;
  entry.origin = origin;
  return append(entry, row);
}

}  // namespace fettle::ledger
