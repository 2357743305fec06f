#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

#include "ledger/error.h"
#include "ledger/file_options.h"

namespace fettle::ledger {

/// "Fetl" in the header of every ledger's file (SQLite's application_id).
inline constexpr std::int32_t application_id = 0x4665746C;

/// How the present file layout comes about. Step n brings a file from user_version n-1 to n, in one
/// transaction. A step that has been released is never edited; another is added.
const std::vector<std::string>& migrations();

/// Opens a ledger's file, or makes it: checks that it is one, that it is sound and not from the future,
/// brings an older one up to date. A file that is refused is not touched.
/// @throws LedgerError
SQLite::Database open_file(const std::filesystem::path& file, const FileOptions& options);

/// Runs the steps the file has not seen yet.
void migrate(SQLite::Database& database, const std::vector<std::string>& steps);

/// SQLite's own check of the file's structure: its complaints, none when it is sound.
/// @param thorough also compares the indexes with the tables, and checks the foreign keys
std::vector<std::string> structural_faults(SQLite::Database& database, bool thorough);

/// Turns what SQLite reports into a LedgerError that says what to do.
LedgerError explain(const SQLite::Exception& error, const std::filesystem::path& file);

/// Makes a rename or a new file in this directory survive a loss of power.
void sync_directory(const std::filesystem::path& directory);

/// A name beside `file` that nothing else uses, for a file not yet complete.
std::filesystem::path unfinished_name(const std::filesystem::path& file);

/// The four bytes at 68 of the file: the application_id, or nothing if it is no SQLite file.
std::optional<std::int32_t> application_id_of(const std::filesystem::path& file);

}  // namespace fettle::ledger
