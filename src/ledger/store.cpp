#include "ledger/store.h"

#include <limits>
#include <new>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

namespace fettle::ledger {
namespace {

using nlohmann::json;

constexpr std::string_view entry_columns =
    "entry, engine, previous, at, by, device, kind, undoes, redoes, change_key, origin, operations";

constexpr const char* summary_query = R"sql(
SELECT engines.id, engines.name, engines.archived, engines.version,
       (SELECT at FROM entries WHERE engine = engines.id ORDER BY entry LIMIT 1),
       last.at, last.by, engines.entry_count
FROM engines JOIN entries AS last ON last.entry = engines.version
)sql";

template <typename Value>
void bind_optional(SQLite::Statement& statement, int index, const std::optional<Value>& value) {
  if (value) {
    statement.bind(index, *value);
  } else {
    statement.bind(index);
  }
}

std::optional<EntryNumber> optional_number(const SQLite::Column& column) {
  return column.isNull() ? std::nullopt : std::optional<EntryNumber>(column.getInt64());
}

EngineSummary read_summary(SQLite::Statement& row) {
  EngineSummary summary;
  summary.id = row.getColumn(0).getString();
  summary.name = row.getColumn(1).getString();
  summary.archived = row.getColumn(2).getInt() != 0;
  summary.version = row.getColumn(3).getInt64();
  summary.created = row.getColumn(4).getString();
  summary.changed_at = row.getColumn(5).getString();
  summary.changed_by = row.getColumn(6).getString();
  summary.entry_count = row.getColumn(7).getInt64();
  return summary;
}

std::string select_entries(std::string_view condition) {
  return fmt::format("SELECT {} FROM entries {}", entry_columns, condition);
}

}  // namespace

Store::Store(SQLite::Database& database, std::filesystem::path file)
    : database_(database), file_(std::move(file)) {}

Store::Use::Use(Store& store, std::string text) : store_(store), text_(std::move(text)) {
  if (auto idle = store_.idle_.extract(text_)) {
    statement_ = std::move(idle.mapped());
  } else {
    statement_ = std::make_unique<SQLite::Statement>(store_.database_, text_);
  }
}

Store::Use::~Use() {
  // What went wrong in its last step was told there.
  static_cast<void>(statement_->tryReset());
  try {
    store_.idle_[std::move(text_)] = std::move(statement_);
  } catch (const std::bad_alloc&) {
    // It is compiled anew next time.
  }
}

LedgerError Store::damaged(const std::string& what) const {
  return {Trouble::damaged, file_, what,
          "check the ledger, and go on with the latest backup if that finds faults"};
}

json Store::parse(const std::string& text, const std::string& where) const {
  try {
    return json::parse(text);
  } catch (const json::exception& error) {
    throw damaged(fmt::format("{} cannot be read: {}", where, error.what()));
  }
}

std::optional<EngineRow> Store::engine(const std::string& id) {
  const Use row(*this, "SELECT name, archived, version, entry_count, document FROM engines WHERE id = ?");
  row->bind(1, id);
  if (!row->executeStep()) {
    return std::nullopt;
  }
  EngineRow engine;
  engine.id = id;
  engine.state.name = row->getColumn(0).getString();
  engine.state.archived = row->getColumn(1).getInt() != 0;
  engine.version = row->getColumn(2).getInt64();
  engine.entry_count = row->getColumn(3).getInt64();
  engine.state.document = parse(row->getColumn(4).getString(), fmt::format("the document of engine {}", id));
  return engine;
}

std::vector<std::string> Store::engine_ids() {
  const Use row(*this, "SELECT id FROM engines ORDER BY id");
  std::vector<std::string> ids;
  while (row->executeStep()) {
    ids.push_back(row->getColumn(0).getString());
  }
  return ids;
}

std::vector<EngineSummary> Store::summaries() {
  const Use row(*this, std::string(summary_query) + "ORDER BY engines.name, engines.id");
  std::vector<EngineSummary> all;
  while (row->executeStep()) {
    all.push_back(read_summary(*row));
  }
  return all;
}

std::optional<EngineSummary> Store::summary(const std::string& id) {
  const Use row(*this, std::string(summary_query) + "WHERE engines.id = ?");
  row->bind(1, id);
  return row->executeStep() ? std::optional(read_summary(*row)) : std::nullopt;
}

Entry Store::read_entry(SQLite::Statement& row) {
  Entry entry;
  entry.number = row.getColumn(0).getInt64();
  entry.engine = row.getColumn(1).getString();
  entry.previous = optional_number(row.getColumn(2));
  entry.at = row.getColumn(3).getString();
  entry.by = row.getColumn(4).getString();
  entry.device = row.getColumn(5).getString();
  const auto kind = entry_kind(row.getColumn(6).getString());
  const std::string where = fmt::format("entry {}", entry.number);
  if (!kind) {
    throw damaged(where + " is of no known kind");
  }
  entry.kind = *kind;
  entry.undoes = optional_number(row.getColumn(7));
  entry.redoes = optional_number(row.getColumn(8));
  if (!row.getColumn(9).isNull()) {
    entry.change_key = row.getColumn(9).getString();
  }
  if (!row.getColumn(10).isNull()) {
    entry.origin = parse(row.getColumn(10).getString(), where);
  }
  try {
    entry.steps = steps_from_json(parse(row.getColumn(11).getString(), where));
  } catch (const std::invalid_argument& error) {
    throw damaged(fmt::format("{} cannot be read: {}", where, error.what()));
  }
  return entry;
}

std::optional<Entry> Store::entry(EntryNumber number) {
  const Use row(*this, select_entries("WHERE entry = ?"));
  row->bind(1, number);
  return row->executeStep() ? std::optional(read_entry(*row)) : std::nullopt;
}

std::optional<Entry> Store::entry_with_key(const std::string& change_key) {
  const Use row(*this, select_entries("WHERE change_key = ?"));
  row->bind(1, change_key);
  return row->executeStep() ? std::optional(read_entry(*row)) : std::nullopt;
}

bool Store::has_entry(const std::string& engine, EntryNumber number) {
  const Use row(*this, "SELECT 1 FROM entries WHERE entry = ? AND engine = ?");
  row->bind(1, number);
  row->bind(2, engine);
  return row->executeStep();
}

std::int64_t Store::entry_count() {
  return database_.execAndGet("SELECT count(*) FROM entries").getInt64();
}

void Store::each_entry(const std::string& engine, EntryNumber after, EntryNumber last,
                       const std::function<void(const Entry&)>& take) {
  const Use row(*this, select_entries("WHERE engine = ? AND entry > ? AND entry <= ? ORDER BY entry"));
  row->bind(1, engine);
  row->bind(2, after);
  row->bind(3, last);
  while (row->executeStep()) {
    take(read_entry(*row));
  }
}

std::vector<Entry> Store::newest(const std::string& engine, EntryNumber before, int limit) {
  const Use row(*this, select_entries("WHERE engine = ? AND entry < ? ORDER BY entry DESC LIMIT ?"));
  row->bind(1, engine);
  row->bind(2, before);
  row->bind(3, limit);
  std::vector<Entry> entries;
  while (row->executeStep()) {
    entries.push_back(read_entry(*row));
  }
  return entries;
}

std::vector<Entry> Store::after(EntryNumber after, int limit) {
  const Use row(*this, select_entries("WHERE entry > ? ORDER BY entry LIMIT ?"));
  row->bind(1, after);
  row->bind(2, limit);
  std::vector<Entry> entries;
  while (row->executeStep()) {
    entries.push_back(read_entry(*row));
  }
  return entries;
}

EntryNumber Store::latest() {
  return database_.execAndGet("SELECT coalesce(max(entry), 0) FROM entries").getInt64();
}

UndoLine Store::undo_line(const std::string& engine) {
  const Use row(*this, "SELECT entry, kind, undoes, redoes FROM entries WHERE engine = ? ORDER BY entry");
  row->bind(1, engine);
  UndoLine line;
  while (row->executeStep()) {
    const EntryNumber number = row->getColumn(0).getInt64();
    const auto kind = entry_kind(row->getColumn(1).getText());
    const auto undoes = optional_number(row->getColumn(2));
    if (!kind || !line.add(*kind, number, undoes ? undoes : optional_number(row->getColumn(3)))) {
      throw damaged(fmt::format("entry {} does not follow the entries before it", number));
    }
  }
  return line;
}

void Store::append(Entry& entry) {
  const Use insert(*this,
                   "INSERT INTO entries (engine, previous, at, by, device, kind, undoes, redoes, change_key, "
                   "origin, operations) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  insert->bind(1, entry.engine);
  bind_optional(*insert, 2, entry.previous);
  insert->bind(3, entry.at);
  insert->bind(4, entry.by);
  insert->bind(5, entry.device);
  insert->bind(6, std::string(to_text(entry.kind)));
  bind_optional(*insert, 7, entry.undoes);
  bind_optional(*insert, 8, entry.redoes);
  bind_optional(*insert, 9, entry.change_key);
  bind_optional(*insert, 10, entry.origin ? std::optional(entry.origin->dump()) : std::nullopt);
  insert->bind(11, to_json(entry.steps).dump());
  insert->exec();
  entry.number = database_.getLastInsertRowid();
}

void Store::put_engine(const EngineRow& row) {
  const Use put(*this,
                "INSERT INTO engines (id, name, archived, version, entry_count, document) "
                "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET name = excluded.name, archived = "
                "excluded.archived, version = excluded.version, entry_count = excluded.entry_count, "
                "document = excluded.document");
  put->bind(1, row.id);
  put->bind(2, row.state.name);
  put->bind(3, row.state.archived ? 1 : 0);
  put->bind(4, row.version);
  put->bind(5, row.entry_count);
  put->bind(6, row.state.document.dump());
  put->exec();
}

std::optional<PastState> rebuilt(Store& store, const std::string& engine, EntryNumber last) {
  Replay replay;
  store.each_entry(engine, 0, last, [&](const Entry& entry) {
    if (const auto wrong = replay.add(entry)) {
      throw store.damaged(fmt::format("engine {} cannot be rebuilt: {}", engine, *wrong));
    }
  });
  if (!replay.last()) {
    return std::nullopt;
  }
  return PastState{*replay.last(), replay.state()};
}

}  // namespace fettle::ledger
