#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include <nlohmann/json.hpp>

#include "ledger/entry.h"

namespace fettle::ledger {

/// The change is in the ledger and survives a crash.
struct Applied {
  std::string engine;
  EntryNumber entry = 0;    ///< the entry made
  EntryNumber version = 0;  ///< the engine's version from now on: the same number
  EngineState state;        ///< name, archive mark and document after the entry
};

/// The change key was seen before: this is the answer given then; nothing was done now.
struct Repeated {
  Applied first;
  EntryNumber version_now = 0;  ///< the engine may have moved on since
};

/// One place where the writer and somebody else met.
struct Clash {
  std::string path;                       ///< the writer's path; of an undo or redo, the path set meanwhile
  std::string changed_path;               ///< the path set meanwhile: equal to it, above it or below it
  std::optional<nlohmann::json> present;  ///< what is at `path` now; absent: nothing
  std::optional<nlohmann::json> refused;  ///< what the writer wanted there; absent: removal, undo or redo
  EntryNumber entry = 0;                  ///< the latest entry that touched it
  std::string by;
  std::string device;
  std::string at;
};

/// Somebody changed the same thing since the version the writer had seen. Nothing was applied.
struct Conflict {
  std::string engine;
  EntryNumber version = 0;  ///< the engine's present version: the base for another try
  std::vector<Clash> clashes;
};

/// Why a request was turned down.
enum class Reason {
  invalid,        ///< a path, value, name or writer that can never be right
  missing,        ///< no such engine, element or parent
  unknown_base,   ///< the base is no entry of this engine
  archived,       ///< the engine is archived: restore it first
  nothing_to_do,  ///< nothing to undo, redo, archive, restore or rename
  key_reused,     ///< the change key belongs to an earlier, different request
  unsound,        ///< Options::objections spoke against the document; `objections` says what
  too_large,      ///< the document would exceed Options::maximum_document_bytes
};

std::string_view to_text(Reason reason);

/// The request was turned down; nothing was applied.
struct Refused {
  Reason reason = Reason::invalid;
  std::string path;  ///< the operation's path, where one is at fault
  std::string message;
  std::optional<nlohmann::json> objections = {};  ///< as Options::objections gave them
};

using WriteResult = std::variant<Applied, Repeated, Conflict, Refused>;

/// {"outcome": "applied" | "repeated" | "conflict" | "refused", ...}: docs/ledger.md, "Answers".
nlohmann::json to_json(const WriteResult& result);

}  // namespace fettle::ledger
