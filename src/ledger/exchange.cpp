// An engine with its whole history, out of a ledger and into another: docs/ledger.md, "History export".

#include <algorithm>
#include <cctype>
#include <limits>
#include <map>
#include <stdexcept>

#include <fmt/format.h>

#include "ledger/inside.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;

constexpr int format_version = 1;

// What an export holds, once it has been read and replayed.
struct History {  // NOLINT(bugprone-exception-escape): moving json is noexcept
  std::string engine;
  EngineState state;
  std::vector<Entry> entries;
};

Refused refuse(std::string message) {
  return {Reason::invalid, "", std::move(message)};
}

bool is_timestamp(const std::string& text) {
  constexpr std::string_view form = "0000-00-00T00:00:00.000Z";
  return text.size() == form.size() && std::equal(text.begin(), text.end(), form.begin(), [](char c, char f) {
           return f == '0' ? std::isdigit(static_cast<unsigned char>(c)) != 0 : c == f;
         });
}

std::optional<Refused> unfit_entry(const Entry& entry) {
  if (!is_timestamp(entry.at)) {
    return refuse(fmt::format("entry {}: '{}' is no time as the ledger writes it", entry.number, entry.at));
  }
  if (auto refused = unfit_writer({entry.by, entry.device, entry.change_key})) {
    return refused;
  }
  for (const Step& step : entry.steps) {
    if (step.path == name_path && step.value && step.value->is_string()) {
      if (auto refused = unfit_text("name", step.value->get<std::string>())) {
        return refused;
      }
    }
    if (const auto wrong = step.value ? unfit(*step.value) : std::nullopt) {
      return refuse(fmt::format("entry {}: a value holds {}", entry.number, *wrong));
    }
  }
  return std::nullopt;
}

std::optional<Refused> replay(const History& history) {
  Replay replay;
  for (const Entry& entry : history.entries) {
    if (entry.engine != history.engine) {
      return refuse(fmt::format("entry {} belongs to another engine", entry.number));
    }
    if (auto refused = unfit_entry(entry)) {
      return refused;
    }
    if (const auto wrong = replay.add(entry)) {
      return refuse(*wrong);
    }
  }
  const EngineState& end = replay.state();
  if (!replay.last() || end.name != history.state.name || end.archived != history.state.archived ||
      !identical(end.document, history.state.document)) {
    return refuse("the entries do not lead to the document, name and archive mark given beside them");
  }
  return std::nullopt;
}

std::variant<History, Refused> read_history(const json& form) {
  if (const auto wrong = unfit(form, 2 * maximum_depth)) {
    return refuse("the history holds " + *wrong);
  }
  if (!form.is_object() || !form.contains("fettle_history")) {
    return refuse("this is no history export: 'fettle_history' is missing");
  }
  if (form.at("fettle_history") != format_version) {
    return refuse(fmt::format("this history export has form {}; form {} is known here",
                              form.at("fettle_history").dump(), format_version));
  }
  try {
    History history;
    history.engine = form.at("engine").get<std::string>();
    history.state = {form.at("name").get<std::string>(), form.at("archived").get<bool>(),
                     form.at("document")};
    for (const json& entry : form.at("entries")) {
      history.entries.push_back(entry_from_json(entry));
    }
    if (!is_engine_id(history.engine)) {
      return refuse("'engine' is no engine's id: 1 to 64 letters, digits, '-' and '_'");
    }
    return history;
  } catch (const std::invalid_argument& error) {
    return refuse(fmt::format("an entry of the history cannot be read: {}", error.what()));
  } catch (const json::exception& error) {
    return refuse(fmt::format("the history export is incomplete: {}", error.what()));
  }
}

// Appends the entries under this ledger's numbers.
void append_all(Store& store, EngineRow& row, const std::vector<Entry>& entries) {
  std::map<EntryNumber, EntryNumber> renumbered;
  const auto renumber = [&renumbered](std::optional<EntryNumber>& number) {
    if (number) {
      number = renumbered.at(*number);
    }
  };
  for (const Entry& original : entries) {
    Entry entry = original;
    entry.engine = row.id;
    renumber(entry.previous);
    renumber(entry.undoes);
    renumber(entry.redoes);
    if (entry.change_key && store.entry_with_key(*entry.change_key)) {
      entry.change_key.reset();
    }
    store.append(entry);
    renumbered[original.number] = entry.number;
    row.version = entry.number;
    ++row.entry_count;
  }
}

}  // namespace

std::optional<json> Ledger::export_history(const std::string& id) const {
  return inside_->reading([&]() -> std::optional<json> {
    const auto row = inside_->store.engine(id);
    if (!row) {
      return std::nullopt;
    }
    json entries = json::array();
    inside_->store.each_entry(id, 0, row->version,
                              [&](const Entry& entry) { entries.push_back(to_json(entry)); });
    return json{{"fettle_history", format_version}, {"engine", id},
                {"name", row->state.name},          {"archived", row->state.archived},
                {"document", row->state.document},  {"entries", std::move(entries)}};
  });
}

WriteResult Ledger::import_history(const json& form, const Writer& writer) {
  if (auto refused = unfit_writer(writer)) {
    return *refused;
  }
  auto read = read_history(form);
  if (auto* refused = std::get_if<Refused>(&read)) {
    return std::move(*refused);
  }
  const auto& history = std::get<History>(read);
  if (auto refused = replay(history)) {
    return *refused;
  }
  if (auto refused = unfit_document(history.state.document, inside_->options)) {
    return *refused;
  }
  const json origin = {{"engine", history.engine}, {"entry", history.entries.back().number}};
  return inside_->writing([&]() -> WriteResult {
    const auto same = [&](const Entry& entry) {
      return entry.kind == EntryKind::import && entry.origin == std::optional(origin);
    };
    if (const auto answer = inside_->repeated(writer, same)) {
      return *answer;
    }
    EngineRow row;
    row.id = inside_->store.summary(history.engine) ? inside_->new_engine_id() : history.engine;
    row.state = history.state;
    append_all(inside_->store, row, history.entries);
    Entry told = inside_->entry_by(writer, EntryKind::import, row.id);
    told.previous = row.version;
    told.origin = origin;
    return inside_->append(told, row);
  });
}

}  // namespace fettle::ledger
