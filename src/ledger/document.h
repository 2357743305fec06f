#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include <nlohmann/json.hpp>

namespace fettle::ledger {

/// What a writer asks for: put `value` at `path`, or, without a value, remove what is there.
///
/// `path` is a JSON Pointer (RFC 6901) with one extension: within an array whose elements are all objects
/// with a text member "id", a token is the id of an element, never its index: "/readings/r17/wheel".
/// docs/ledger.md gives the rules in full.
struct Operation {
  std::string path;
  std::optional<nlohmann::json> value;
};

/// A member's name or an element's index, from the root of the document down.
using Place = std::vector<std::variant<std::string, std::size_t>>;

/// What an operation did, in a form that can be replayed and inverted without knowing the addressing rules.
///
/// With `before` and `value` it replaces, with `value` alone it inserts, with `before` alone it removes.
struct Step {
  std::string path;                      ///< as the writer gave it, "-" replaced by the index it stood for
  Place place;                           ///< where it took effect, by position at that moment
  std::optional<nlohmann::json> value;   ///< what is there afterwards
  std::optional<nlohmann::json> before;  ///< what was there
  bool shifts = false;  ///< it changes the length of an array without ids: later indices mean something else
  bool with_array = false;  ///< the array around the element comes or goes with it
};

/// Why an operation cannot be done.
struct Fault {
  std::string path;
  std::string message;
  bool missing = false;  ///< the place does not exist, as opposed to a request that can never be right
};

/// Greatest depth of nesting of a document.
inline constexpr int maximum_depth = 64;

/// Checks that a value can be kept exactly: finite numbers, UTF-8 texts, no binary values, nesting no deeper
/// than `depth`.
/// @returns what is wrong with it, or nothing
std::optional<std::string> unfit(const nlohmann::json& value, int depth = maximum_depth);

/// The same, for whoever needs the text anyway.
/// @param text the value as text, where it is fit
std::optional<std::string> unfit(const nlohmann::json& value, int depth, std::string& text);

/// Finds out what an operation does to this document; changes nothing.
std::variant<Step, Fault> resolve(const nlohmann::json& document, const Operation& operation);

/// Takes the operations one after the other, each seeing what those before it did.
/// @param document changed in place; after a Fault it is half changed and to be thrown away
std::variant<std::vector<Step>, Fault> apply_operations(nlohmann::json& document,
                                                        const std::vector<Operation>& operations);

/// Replays one step. Its place must exist and hold exactly `before`.
/// @returns why it does not fit this document, or nothing when it was done
std::optional<std::string> apply_step(nlohmann::json& document, const Step& step);

/// The steps that undo these, in the order in which they are to be taken.
std::vector<Step> inverse(const std::vector<Step>& steps);

/// The path whose meaning a step changed: its own, or the array's where later indices shift.
std::string_view touched(const Step& step);

/// Whether one of the paths is the other or leads to it.
bool overlap(std::string_view a, std::string_view b);

/// The value at a path, or nothing.
std::optional<nlohmann::json> value_at(const nlohmann::json& document, const std::string& path);

/// Equal as texts: unlike operator== it tells 1 from 1.0.
bool identical(const nlohmann::json& a, const nlohmann::json& b);
bool identical(const std::optional<nlohmann::json>& a, const std::optional<nlohmann::json>& b);

}  // namespace fettle::ledger
