#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
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
  /// A statement for one use. It is compiled once and kept for the next: compiling costs more than running
  /// most of them. While one is in use, the same text is compiled anew.
  class Use {
   public:
    Use(Store& store, std::string text);
    Use(const Use&) = delete;
    Use& operator=(const Use&) = delete;
    ~Use();

    SQLite::Statement& operator*() const { return *statement_; }
    SQLite::Statement* operator->() const { return statement_.get(); }

   private:
    Store& store_;
    std::string text_;
    std::unique_ptr<SQLite::Statement> statement_;
  };

  Entry read_entry(SQLite::Statement& row);
  nlohmann::json parse(const std::string& text, const std::string& where) const;

  SQLite::Database& database_;
  std::filesystem::path file_;
  std::map<std::string, std::unique_ptr<SQLite::Statement>> idle_;  // by their text
};

/// The state after the last entry not above `last`, rebuilt from the entries; nothing when there is none.
std::optional<PastState> rebuilt(Store& store, const std::string& engine, EntryNumber last);

}  // namespace fettle::ledger
