#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

#include "ledger/entry.h"
#include "ledger/ledger.h"

namespace fettle::ledger {

/// An engine as the file holds it.
struct EngineRow {  // NOLINT(bugprone-exception-escape): moving json is noexcept
  std::string id;
  EngineState state;
  EntryNumber version = 0;
  std::int64_t entry_count = 0;
};

/// The rows of a ledger's file. Knows the tables, but none of the rules; the caller keeps the transaction.
/// @throws SQLite::Exception; LedgerError when a row cannot be what the ledger wrote
class Store {
 public:
  Store(SQLite::Database& database, std::filesystem::path file);

  std::optional<EngineRow> engine(const std::string& id);
  std::vector<std::string> engine_ids();
  std::vector<EngineSummary> summaries();
  std::optional<EngineSummary> summary(const std::string& id);

  std::optional<Entry> entry(EntryNumber number);
  std::optional<Entry> entry_with_key(const std::string& change_key);
  bool has_entry(const std::string& engine, EntryNumber number);
  std::int64_t entry_count();
  /// Entries of an engine with after < number <= last, oldest first.
  void each_entry(const std::string& engine, EntryNumber after, EntryNumber last,
                  const std::function<void(const Entry&)>& take);
  /// Entries of an engine with number < before, newest first.
  std::vector<Entry> newest(const std::string& engine, EntryNumber before, int limit);
  /// Entries of all engines with number > after, oldest first.
  std::vector<Entry> after(EntryNumber after, int limit);
  EntryNumber latest();
  UndoLine undo_line(const std::string& engine);

  /// Adds the entry and gives it its number.
  void append(Entry& entry);
  void put_engine(const EngineRow& row);

  /// What cannot be right in a ledger this program wrote.
  [[nodiscard]] LedgerError damaged(const std::string& what) const;

 private:
  Entry read_entry(SQLite::Statement& row);
  nlohmann::json parse(const std::string& text, const std::string& where) const;

  SQLite::Database& database_;
  std::filesystem::path file_;
};

/// The state after the last entry not above `last`, rebuilt from the entries; nothing when there is none.
std::optional<PastState> rebuilt(Store& store, const std::string& engine, EntryNumber last);

}  // namespace fettle::ledger
