#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "ledger/document.h"

namespace fettle::ledger {

/// Numbers the entries of a ledger in the order in which they were made, over all engines.
using EntryNumber = std::int64_t;

enum class EntryKind { create, change, undo, redo, rename, archive, restore, import };

std::string_view to_text(EntryKind kind);
std::optional<EntryKind> entry_kind(std::string_view text);

/// Paths of what belongs to an engine but stands outside its document: no leading "/", so no JSON Pointer.
inline constexpr std::string_view name_path = "name";
inline constexpr std::string_view archived_path = "archived";

/// One appended line of the ledger; never changed, never removed.
struct Entry {
  EntryNumber number = 0;
  std::string engine;
  std::optional<EntryNumber> previous;  ///< the engine's entry before this one; absent for `create`
  std::string at;                       ///< UTC, ISO 8601 with milliseconds
  std::string by;                       ///< who
  std::string device;                   ///< from where
  EntryKind kind = EntryKind::create;
  std::vector<Step> steps;
  std::optional<EntryNumber> undoes;      ///< of `undo`: the entry taken back
  std::optional<EntryNumber> redoes;      ///< of `redo`: the entry made good again
  std::optional<std::string> change_key;  ///< the client's own mark
  std::optional<nlohmann::json> origin;   ///< of a copy or an import: where it came from
};

/// The engine as its entries make it.
struct EngineState {  // NOLINT(bugprone-exception-escape): moving json is noexcept
  std::string name;
  bool archived = false;
  nlohmann::json document;
};

/// Which entries undo and redo would take next. A change ends what could be redone.
class UndoLine {
 public:
  /// @param target the entry undone or redone, for those kinds
  /// @returns whether the entry fits what went before
  bool add(EntryKind kind, EntryNumber number, std::optional<EntryNumber> target);
  [[nodiscard]] std::optional<EntryNumber> undo_next() const;
  [[nodiscard]] std::optional<EntryNumber> redo_next() const;

 private:
  std::vector<EntryNumber> done_;
  std::vector<EntryNumber> undone_;
};

/// Plays an engine's entries from the first on and holds every one of them to what went before.
class Replay {  // NOLINT(bugprone-exception-escape): moving json is noexcept
 public:
  /// @returns why the entry cannot follow, or nothing when it was taken
  std::optional<std::string> add(const Entry& entry);
  [[nodiscard]] const EngineState& state() const { return state_; }
  [[nodiscard]] const UndoLine& undo_line() const { return line_; }
  [[nodiscard]] std::optional<EntryNumber> last() const { return last_; }

 private:
  std::optional<std::string> apply(const Entry& entry);
  EngineState state_;
  UndoLine line_;
  std::optional<EntryNumber> last_;
  std::map<EntryNumber, std::vector<Step>> undoable_;
};

/// Takes one step on the state: on the document, the name or the archive mark.
std::optional<std::string> apply_step(EngineState& state, const Step& step);

/// The JSON forms, as stored in the file and as written by an export (docs/ledger.md, "Entries").
nlohmann::json to_json(const Step& step);
nlohmann::json to_json(const std::vector<Step>& steps);
nlohmann::json to_json(const Entry& entry);

/// @throws std::invalid_argument naming what is wrong
std::vector<Step> steps_from_json(const nlohmann::json& json);
Entry entry_from_json(const nlohmann::json& json);

}  // namespace fettle::ledger
