#include "ledger/schema.h"

#include <array>
#include <fstream>
#include <random>
#include <string_view>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

namespace fettle::ledger {
namespace {

namespace fs = std::filesystem;

std::int64_t pragma(SQLite::Database& database, const std::string& name) {
  return database.execAndGet("PRAGMA " + name).getInt64();
}

LedgerError not_a_ledger(const fs::path& file, std::string_view found) {
  return {Trouble::not_a_ledger, file, fmt::format("this is no ledger: {}", found),
          "choose another file; this one has been left as it was"};
}

LedgerError newer(const fs::path& file, std::int64_t version) {
  return {Trouble::newer, file,
          fmt::format("this ledger has layout {}, and layout {} is the latest known here", version,
                      migrations().size()),
          "open it with the Fettle that wrote it, or a later one; it has been left as it was"};
}

struct Header {
  std::int32_t application_id;
  std::int32_t user_version;
};

// Read without SQLite, which would roll a foreign file's journal back.
std::optional<Header> header_of(const fs::path& file) {
  std::array<char, 100> bytes{};
  std::ifstream stream(file, std::ios::binary);
  if (!stream.read(bytes.data(), bytes.size()) ||
      std::string_view(bytes.data(), 16) != std::string_view("SQLite format 3\0", 16)) {
    return std::nullopt;
  }
  const auto big_endian = [&bytes](std::size_t at) {
    std::uint32_t value = 0;
    for (std::size_t i = at; i < at + 4; ++i) {
      value = value << 8U | static_cast<unsigned char>(bytes.at(i));
    }
    return static_cast<std::int32_t>(value);
  };
  return Header{big_endian(68), big_endian(60)};
}

void refuse_what_is_no_ledger(const fs::path& file) {
  std::error_code error;
  const auto status = fs::status(file, error);
  if (!fs::exists(status)) {
    throw LedgerError(Trouble::missing, file, "there is no such file", "check the name");
  }
  if (!fs::is_regular_file(status)) {
    throw not_a_ledger(file, "it is not a regular file");
  }
  if (::access(file.c_str(), R_OK) != 0) {
    throw LedgerError(Trouble::input_output, file, "the file may not be read",
                      "give yourself the right to read it");
  }
  const auto size = fs::file_size(file, error);
  if (!error && size == 0) {
    throw not_a_ledger(file, "it is empty");
  }
  const auto header = header_of(file);
  if (!header) {
    throw not_a_ledger(file, "it does not begin as a SQLite file does");
  }
  if (header->application_id != application_id) {
    throw not_a_ledger(file, "it is a SQLite file of another program");
  }
  if (header->user_version > static_cast<std::int64_t>(migrations().size())) {
    throw newer(file, header->user_version);
  }
}

void settle(SQLite::Database& database, const FileOptions& options) {
  database.exec(
      "PRAGMA foreign_keys = ON; PRAGMA recursive_triggers = ON; PRAGMA trusted_schema = OFF;"
      "PRAGMA cell_size_check = ON; PRAGMA synchronous = FULL;");
  if (options.maximum_pages) {
    database.execAndGet(fmt::format("PRAGMA max_page_count = {}", *options.maximum_pages));
  }
}

// Under another name until it is whole, so that a crash leaves no half-made ledger under the right one.
void make_file(const fs::path& file) {
  const fs::path unfinished = unfinished_name(file);
  std::error_code error;
  try {
    SQLite::Database database(unfinished.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    database.exec("PRAGMA synchronous = FULL");
    migrate(database, migrations());
  } catch (...) {
    fs::remove(unfinished, error);
    throw;
  }
  fs::create_hard_link(unfinished, file, error);
  const bool another_was_first = error == std::errc::file_exists;
  if (error && !another_was_first) {
    // A file system without hard links.
    fs::rename(unfinished, file, error);
  }
  std::error_code ignored;
  fs::remove(unfinished, ignored);
  if (error && !another_was_first) {
    throw LedgerError(Trouble::input_output, file, "the ledger cannot be made: " + error.message(),
                      "check that the folder exists and may be written");
  }
  sync_directory(file.parent_path());
}

int flags_for(const fs::path& file, Access access, std::string& name) {
  name = file.string();
  if (access != Access::read_only) {
    return SQLite::OPEN_READWRITE;
  }
  // Without a right to write beside it SQLite cannot share the file; then nobody else can be writing either.
  std::error_code error;
  fs::path log = file;
  log += "-wal";
  const auto folder = file.has_parent_path() ? file.parent_path() : fs::path(".");
  const bool alone = !fs::exists(log, error) || fs::file_size(log, error) == 0;
  if (alone && ::access(folder.c_str(), W_OK) != 0) {
    name = "file:";
    for (const char c : fs::absolute(file).string()) {
      name += (c == '%' || c == '?' || c == '#') ? fmt::format("%{:02x}", static_cast<unsigned>(c))
                                                 : std::string(1, c);
    }
    name += "?immutable=1";
    return SQLite::OPEN_READONLY | SQLite::OPEN_URI;
  }
  return SQLite::OPEN_READONLY;
}

void demand_sound(SQLite::Database& database, const fs::path& file, const FileOptions& options) {
  if (pragma(database, "application_id") != application_id) {
    throw not_a_ledger(file, "it is a SQLite file of another program");
  }
  const auto version = pragma(database, "user_version");
  if (version > static_cast<std::int64_t>(migrations().size())) {
    throw newer(file, version);
  }
  if (options.quick_check) {
    if (const auto faults = structural_faults(database, false); !faults.empty()) {
      throw LedgerError(Trouble::damaged, file, "the file is damaged: " + faults.front(),
                        "go on with the latest backup, and keep this file for what can be read from it");
    }
  }
}

}  // namespace

std::optional<std::int32_t> application_id_of(const fs::path& file) {
  const auto header = header_of(file);
  return header ? std::optional(header->application_id) : std::nullopt;
}

SQLite::Database open_file(const fs::path& file, const FileOptions& options) {
  try {
    std::error_code error;
    if (options.access == Access::create && !fs::exists(file, error)) {
      make_file(file);
    }
    refuse_what_is_no_ledger(file);
    std::string name;
    const int flags = flags_for(file, options.access, name);
    SQLite::Database database(name, flags, options.busy_timeout_ms);
    const bool writes = options.access != Access::read_only;
    if (writes && sqlite3_db_readonly(database.getHandle(), "main") != 0) {
      throw LedgerError(Trouble::read_only, file, "the file may not be written",
                        "give yourself the right to write it, or open it for reading only");
    }
    settle(database, options);
    demand_sound(database, file, options);
    if (writes) {
      if (database.execAndGet("PRAGMA journal_mode = WAL").getString() != "wal") {
        throw LedgerError(Trouble::input_output, file,
                          "the file system does not let SQLite keep a write-ahead log",
                          "put the ledger on a local disk");
      }
      migrate(database, migrations());
    } else if (pragma(database, "user_version") < static_cast<std::int64_t>(migrations().size())) {
      throw LedgerError(Trouble::read_only, file, "this ledger has an older layout",
                        "open it once for writing, which brings it up to date");
    }
    return database;
  } catch (const SQLite::Exception& error) {
    throw explain(error, file);
  }
}

void migrate(SQLite::Database& database, const std::vector<std::string>& steps) {
  for (auto version = pragma(database, "user_version"); version < static_cast<std::int64_t>(steps.size());
       version = pragma(database, "user_version")) {
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    // Another process may have taken the step while this one waited.
    if (pragma(database, "user_version") != version) {
      continue;
    }
    database.exec(steps[static_cast<std::size_t>(version)]);
    database.exec(
        fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", application_id, version + 1));
    transaction.commit();
  }
}

std::vector<std::string> structural_faults(SQLite::Database& database, bool thorough) {
  std::vector<std::string> faults;
  SQLite::Statement check(database, thorough ? "PRAGMA integrity_check" : "PRAGMA quick_check");
  while (check.executeStep()) {
    if (auto line = check.getColumn(0).getString(); line != "ok") {
      faults.push_back(std::move(line));
    }
  }
  if (thorough) {
    SQLite::Statement keys(database, "PRAGMA foreign_key_check");
    while (keys.executeStep()) {
      faults.push_back(fmt::format("row {} of {} points to a row of {} that is not there",
                                   keys.getColumn(1).getInt64(), keys.getColumn(0).getText(),
                                   keys.getColumn(2).getText()));
    }
  }
  return faults;
}

LedgerError explain(const SQLite::Exception& error, const fs::path& file) {
  const std::string detail = error.what();
  switch (error.getErrorCode() & 0xFF) {
    case SQLITE_FULL:
      return {Trouble::full, file, "there is no room left: nothing was written",
              "make room on the disk and try again; everything acknowledged before is safe"};
    case SQLITE_READONLY:
    case SQLITE_PERM:
      return {Trouble::read_only, file, "the file may not be written: nothing was written",
              "give yourself the right to write it and its folder, or open it for reading only"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {Trouble::busy, file, "another program held the ledger for too long: nothing was written",
              "try again; if it stays so, look for the program that holds the file"};
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
      return {Trouble::damaged, file, "the file is damaged: " + detail,
              "go on with the latest backup, and keep this file for what can be read from it"};
    case SQLITE_CANTOPEN:
      return {Trouble::input_output, file, "the file cannot be opened: " + detail,
              "check that the folder exists and may be written"};
    case SQLITE_IOERR:
      return {Trouble::input_output, file, "the system refused to read or write: " + detail,
              "check the disk, then send the change again with the same change key"};
    default:
      return {Trouble::damaged, file, "the ledger does not work as it should: " + detail,
              "check the ledger, and go on with the latest backup if that finds faults"};
  }
}

void sync_directory(const fs::path& directory) {
  const fs::path folder = directory.empty() ? fs::path(".") : directory;
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) {
    return;  // not every file system lets a directory be opened; there is nothing to be lost by it
  }
  ::fsync(descriptor);
  ::close(descriptor);
}

fs::path unfinished_name(const fs::path& file) {
  std::random_device random;
  fs::path name = file;
  name += fmt::format(".{:08x}.unfinished", random());
  return name;
}

}  // namespace fettle::ledger
