#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "ledger/environment.h"
#include "ledger/error.h"
#include "ledger/file_options.h"
#include "ledger/results.h"

namespace fettle::ledger {

/// Who writes, from where, and under which mark.
struct Writer {
  std::string by;  ///< 1 to 200 bytes of UTF-8 without control characters, as are the other two
  std::string device;
  /// Made up by the client, new for each request. A request sent again under the same key is answered with
  /// the first answer instead of being done twice; turned down, it leaves the key free.
  std::optional<std::string> change_key;
};

struct EngineSummary {
  std::string id;
  std::string name;
  bool archived = false;
  EntryNumber version = 0;  ///< number of its last entry
  std::string created;
  std::string changed_at;
  std::string changed_by;
  std::int64_t entry_count = 0;
};

struct EngineView {
  EngineSummary summary;
  nlohmann::json document;
};

struct PastState {
  EntryNumber version = 0;
  EngineState state;
};

struct HistoryPage {
  std::vector<Entry> entries;         ///< newest first
  std::optional<EntryNumber> before;  ///< pass this for the next, older page; absent: there is none
};

/// What undo and redo would take next.
struct UndoState {
  std::optional<EntryNumber> undo;
  std::optional<EntryNumber> redo;
};

struct CheckReport {
  std::int64_t engines = 0;
  std::int64_t entries = 0;
  std::vector<std::string> faults;  ///< none: the ledger is sound
};

struct Options {
  FileOptions file;
  /// What speaks against a document, in the caller's own form, or nothing. Asked before a creation or change
  /// is made, with the document as it would then be: two changes that are sound each may not be so together.
  /// Not asked for undo and redo, whose documents were there before. Runs inside the write; must not use the
  /// ledger.
  std::function<std::optional<nlohmann::json>(const nlohmann::json& document)> objections;
  std::size_t maximum_document_bytes = std::size_t{32} << 20U;
};

/// The shop's store of engines and of every change ever made to them: one SQLite file (docs/ledger.md).
///
/// Whatever a write answers with Applied is on the disk and survives a crash. Every member may be called from
/// any thread: they take turns. Several processes may have the file open. Members throw LedgerError when the
/// file fails them and nothing else; an unknown engine reads as nothing and writes as Refused.
class Ledger {
 public:
  /// @param environment outlives the ledger; null: the system's clock and random ids
  /// @throws LedgerError; std::invalid_argument for Options outside their range
  explicit Ledger(const std::filesystem::path& file, const Options& options = {},
                  Environment* environment = nullptr);
  ~Ledger();
  Ledger(const Ledger&) = delete;
  Ledger& operator=(const Ledger&) = delete;

  /// A new engine with this document (one JSON object).
  WriteResult create(const std::string& name, const nlohmann::json& document, const Writer& writer);

  /// Applies all operations, or none. `base` is the version of the engine the writer had seen: a path that
  /// overlaps one touched by a later entry makes a Conflict, anything else merges.
  WriteResult change(const std::string& engine, EntryNumber base, const std::vector<Operation>& operations,
                     const Writer& writer);

  /// Takes back the latest entry not yet undone (the creation stays), or makes the latest undone good again.
  /// With a base, any later entry makes a Conflict, so that nobody takes back what they have not seen.
  WriteResult undo(const std::string& engine, std::optional<EntryNumber> base, const Writer& writer);
  WriteResult redo(const std::string& engine, std::optional<EntryNumber> base, const Writer& writer);

  /// The name and the archive mark are changed and undone like the document. With a base, a later entry
  /// that touched the same makes a Conflict. An archived engine can be read, copied, restored, no more.
  WriteResult rename(const std::string& engine, const std::string& name, std::optional<EntryNumber> base,
                     const Writer& writer);
  WriteResult archive(const std::string& engine, std::optional<EntryNumber> base, const Writer& writer);
  WriteResult restore(const std::string& engine, std::optional<EntryNumber> base, const Writer& writer);

  /// A new engine with the present document of another; its history begins with the copy.
  WriteResult copy(const std::string& engine, const std::string& name, const Writer& writer);

  /// Takes in what export_history wrote, after replaying and comparing all of it. The engine keeps its id
  /// unless this ledger has it already; entries get numbers of this ledger; a last entry tells of the import.
  WriteResult import_history(const nlohmann::json& history, const Writer& writer);

  [[nodiscard]] std::vector<EngineSummary> engines() const;  ///< by name, then id
  [[nodiscard]] std::optional<EngineView> engine(const std::string& id) const;
  /// Rebuilt from the entries up to and including `entry`; nothing for a time before the creation.
  [[nodiscard]] std::optional<PastState> engine_as_of(const std::string& id, EntryNumber entry) const;
  /// @param before only entries older than this one
  /// @throws std::invalid_argument unless 1 <= limit <= 1000
  [[nodiscard]] HistoryPage history(const std::string& id, std::optional<EntryNumber> before,
                                    int limit) const;
  [[nodiscard]] std::optional<Entry> entry(EntryNumber number) const;
  /// Entries of all engines later than this one, oldest first: what a listener has missed.
  /// @throws std::invalid_argument unless 1 <= limit <= 1000
  [[nodiscard]] std::vector<Entry> entries_after(EntryNumber number, int limit) const;
  [[nodiscard]] EntryNumber latest_entry() const;  ///< 0 in an empty ledger
  [[nodiscard]] UndoState undo_state(const std::string& id) const;
  /// The engine with all its entries as one JSON object (docs/ledger.md, "History export").
  [[nodiscard]] std::optional<nlohmann::json> export_history(const std::string& id) const;

  /// Checks the file's structure and its triggers, replays every engine and compares. Reports, never throws
  /// for what it finds.
  [[nodiscard]] CheckReport check() const;

  /// Derives the engines anew from their entries, where they differ.
  /// @returns how many differed
  /// @throws LedgerError when the entries themselves contradict each other; then nothing is done
  std::int64_t rebuild();

  /// A copy of the ledger as it stands at one moment, while others go on writing: made under another name,
  /// checked, made durable, renamed. An earlier backup of that name is replaced, any other file is not.
  void backup(const std::filesystem::path& target) const;

  struct Inside;

 private:
  std::unique_ptr<Inside> inside_;
};

}  // namespace fettle::ledger
