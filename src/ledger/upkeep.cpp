// Checking, rebuilding and backing up a ledger's file.

#include <limits>
#include <system_error>

#include <SQLiteCpp/Backup.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include "ledger/inside.h"

namespace fettle::ledger {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> layout_of(SQLite::Database& database) {
  std::vector<std::string> parts;
  SQLite::Statement row(
      database, "SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY name");
  while (row.executeStep()) {
    parts.push_back(fmt::format("{} {}: {}", row.getColumn(0).getText(), row.getColumn(1).getText(),
                                row.getColumn(2).getText()));
  }
  return parts;
}

// Tables or triggers that somebody has tampered with: without the triggers, entries would not be safe.
void check_layout(SQLite::Database& database, CheckReport& report) {
  SQLite::Database fresh(":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  migrate(fresh, migrations());
  if (layout_of(database) != layout_of(fresh)) {
    report.faults.emplace_back("the file's tables, indexes or triggers are not those of a ledger");
  }
}

// What follows from the entries, or the reason why they contradict each other.
struct Derived {  // NOLINT(bugprone-exception-escape): moving json is noexcept
  EngineRow row;
  std::optional<std::string> wrong;
};

Derived derive(Store& store, const std::string& id) {
  Replay replay;
  Derived derived;
  derived.row.id = id;
  try {
    store.each_entry(id, 0, std::numeric_limits<EntryNumber>::max(), [&](const Entry& entry) {
      if (!derived.wrong) {
        derived.wrong = replay.add(entry);
      }
      ++derived.row.entry_count;
    });
  } catch (const LedgerError& error) {
    derived.wrong = error.happened();
  }
  if (!derived.wrong && !replay.last()) {
    derived.wrong = "it has no entries";
  }
  derived.row.state = replay.state();
  derived.row.version = replay.last().value_or(0);
  return derived;
}

bool same(const EngineRow& a, const EngineRow& b) {
  return a.state.name == b.state.name && a.state.archived == b.state.archived && a.version == b.version &&
         a.entry_count == b.entry_count && identical(a.state.document, b.state.document);
}

// Whether the row of an engine says what its entries say.
bool agrees(Store& store, const EngineRow& derived) {
  try {
    const auto held = store.engine(derived.id);
    return held && same(*held, derived);
  } catch (const LedgerError&) {
    return false;  // unreadable
  }
}

void check_engines(Store& store, CheckReport& report) {
  std::int64_t entries = 0;
  for (const std::string& id : store.engine_ids()) {
    const Derived derived = derive(store, id);
    entries += derived.row.entry_count;
    ++report.engines;
    if (derived.wrong) {
      report.faults.push_back(fmt::format("engine {}: {}", id, *derived.wrong));
    } else if (!agrees(store, derived.row)) {
      report.faults.push_back(fmt::format("engine {}: its present state is not what its entries make", id));
    }
  }
  report.entries = store.entry_count();
  if (entries != report.entries) {
    report.faults.push_back(fmt::format("{} entries belong to no engine", report.entries - entries));
  }
}

void demand_replaceable(const fs::path& target, const fs::path& ledger) {
  std::error_code error;
  if (!fs::exists(target, error)) {
    return;
  }
  const auto refuse = [&](const char* why) {
    return LedgerError(Trouble::input_output, target, why, "give the backup another name");
  };
  if (fs::equivalent(target, ledger, error)) {
    throw refuse("this is the ledger itself");
  }
  if (!fs::is_regular_file(target, error) || application_id_of(target) != application_id) {
    throw refuse("there is another file of this name");
  }
  fs::path log = target;
  log += "-wal";
  if (fs::exists(log, error)) {
    throw refuse("there is a ledger of this name in use");
  }
}

// All pages in one go, from a connection of its own: one moment's state, and nobody waits for it.
void copy_pages(const fs::path& source, const fs::path& target, int busy_timeout_ms) {
  FileOptions reading;
  reading.access = Access::read_only;
  reading.quick_check = false;
  reading.busy_timeout_ms = busy_timeout_ms;
  SQLite::Database from = open_file(source, reading);
  SQLite::Database to(target.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  to.exec("PRAGMA synchronous = FULL");
  {
    SQLite::Backup backup(to, from);
    if (const int result = backup.executeStep(-1); result != SQLITE_DONE) {
      throw SQLite::Exception("the copy could not be finished", result);
    }
  }
  // One file, without a log beside it.
  to.execAndGet("PRAGMA journal_mode = DELETE");
  if (const auto faults = structural_faults(to, true); !faults.empty()) {
    throw LedgerError(Trouble::damaged, source, "the copy does not pass its check: " + faults.front(),
                      "check the ledger; the copy has been thrown away");
  }
}

}  // namespace

CheckReport Ledger::check() const {
  CheckReport report;
  try {
    return inside_->reading([&] {
      report.faults = structural_faults(inside_->database, true);
      check_layout(inside_->database, report);
      check_engines(inside_->store, report);
      return report;
    });
  } catch (const LedgerError& error) {
    if (error.trouble() != Trouble::damaged) {
      throw;
    }
    report.faults.push_back(error.happened());
    return report;
  }
}

std::int64_t Ledger::rebuild() {
  return inside_->writing([&] {
    std::int64_t differed = 0;
    for (const std::string& id : inside_->store.engine_ids()) {
      const Derived derived = derive(inside_->store, id);
      if (derived.wrong) {
        throw inside_->store.damaged(fmt::format("engine {} cannot be rebuilt: {}", id, *derived.wrong));
      }
      if (!agrees(inside_->store, derived.row)) {
        inside_->store.put_engine(derived.row);
        ++differed;
      }
    }
    return differed;
  });
}

void Ledger::backup(const fs::path& target) const {
  demand_replaceable(target, inside_->file);
  const fs::path unfinished = unfinished_name(target);
  std::error_code error;
  try {
    copy_pages(inside_->file, unfinished, inside_->options.file.busy_timeout_ms);
  } catch (const SQLite::Exception& failure) {
    fs::remove(unfinished, error);
    throw explain(failure, target);
  } catch (...) {
    fs::remove(unfinished, error);
    throw;
  }
  fs::rename(unfinished, target, error);
  if (error) {
    std::error_code ignored;
    fs::remove(unfinished, ignored);
    throw LedgerError(Trouble::input_output, target,
                      "the backup cannot be given its name: " + error.message(),
                      "check that the folder may be written");
  }
  sync_directory(target.parent_path());
}

}  // namespace fettle::ledger
