#include "ledger/entry.h"

#include <array>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

namespace fettle::ledger {
namespace {

using nlohmann::json;

constexpr std::array<std::pair<EntryKind, std::string_view>, 8> kinds = {{
    {EntryKind::create, "create"},
    {EntryKind::change, "change"},
    {EntryKind::undo, "undo"},
    {EntryKind::redo, "redo"},
    {EntryKind::rename, "rename"},
    {EntryKind::archive, "archive"},
    {EntryKind::restore, "restore"},
    {EntryKind::import, "import"},
}};

const json& member(const json& object, const char* name) {
  if (!object.is_object() || !object.contains(name)) {
    throw std::invalid_argument(fmt::format("'{}' is missing", name));
  }
  return object.at(name);
}

std::string text(const json& object, const char* name) {
  const json& value = member(object, name);
  if (!value.is_string()) {
    throw std::invalid_argument(fmt::format("'{}' is not a text", name));
  }
  return value.get<std::string>();
}

std::optional<json> optional_member(const json& object, const char* name) {
  return object.contains(name) ? std::optional<json>(object.at(name)) : std::nullopt;
}

EntryNumber number(const json& value, const char* name) {
  // Half the range leaves room for those that follow.
  if (!value.is_number_integer() || value < 1 || value > (std::int64_t{1} << 62)) {
    throw std::invalid_argument(fmt::format("'{}' is not an entry's number", name));
  }
  return value.get<EntryNumber>();
}

std::optional<EntryNumber> optional_number(const json& object, const char* name) {
  return object.contains(name) ? std::optional(number(object.at(name), name)) : std::nullopt;
}

bool flag(const json& object, const char* name) {
  if (!object.contains(name)) {
    return false;
  }
  if (!object.at(name).is_boolean()) {
    throw std::invalid_argument(fmt::format("'{}' is neither true nor false", name));
  }
  return object.at(name).get<bool>();
}

Place place_from_json(const json& value) {
  if (!value.is_array()) {
    throw std::invalid_argument("'place' is not an array");
  }
  if (value.size() > static_cast<std::size_t>(maximum_depth)) {
    throw std::invalid_argument("'place' is nested too deep");
  }
  Place place;
  for (const json& part : value) {
    if (part.is_string()) {
      place.emplace_back(part.get<std::string>());
    } else if (part.is_number_unsigned()) {
      place.emplace_back(part.get<std::size_t>());
    } else {
      throw std::invalid_argument("a part of 'place' is neither a name nor an index");
    }
  }
  return place;
}

Step step_from_json(const json& value) {
  Step step;
  step.path = text(value, "path");
  step.place = place_from_json(member(value, "place"));
  step.value = optional_member(value, "value");
  step.before = optional_member(value, "before");
  step.shifts = flag(value, "shifts");
  step.with_array = flag(value, "with_array");
  if (!step.value && !step.before) {
    throw std::invalid_argument("an operation has neither 'value' nor 'before'");
  }
  if (step.with_array && step.place.size() < 2) {
    throw std::invalid_argument("'with_array' needs a place within an array");
  }
  return step;
}

}  // namespace

std::string_view to_text(EntryKind kind) {
  for (const auto& [value, name] : kinds) {
    if (value == kind) {
      return name;
    }
  }
  throw std::invalid_argument("to_text: no such kind of entry");
}

std::optional<EntryKind> entry_kind(std::string_view name) {
  for (const auto& [value, known] : kinds) {
    if (known == name) {
      return value;
    }
  }
  return std::nullopt;
}

json to_json(const Step& step) {
  json place = json::array();
  for (const auto& part : step.place) {
    std::visit([&place](const auto& named) { place.push_back(named); }, part);
  }
  json out = {{"path", step.path}, {"place", std::move(place)}};
  if (step.value) {
    out["value"] = *step.value;
  }
  if (step.before) {
    out["before"] = *step.before;
  }
  if (step.shifts) {
    out["shifts"] = true;
  }
  if (step.with_array) {
    out["with_array"] = true;
  }
  return out;
}

json to_json(const std::vector<Step>& steps) {
  json out = json::array();
  for (const Step& step : steps) {
    out.push_back(to_json(step));
  }
  return out;
}

json to_json(const Entry& entry) {
  json out = {{"entry", entry.number},
              {"engine", entry.engine},
              {"at", entry.at},
              {"by", entry.by},
              {"device", entry.device},
              {"kind", to_text(entry.kind)},
              {"operations", to_json(entry.steps)}};
  const auto put = [&out](const char* name, const auto& value) {
    if (value) {
      out[name] = *value;
    }
  };
  put("previous", entry.previous);
  put("undoes", entry.undoes);
  put("redoes", entry.redoes);
  put("change_key", entry.change_key);
  put("origin", entry.origin);
  return out;
}

std::vector<Step> steps_from_json(const json& value) {
  if (!value.is_array()) {
    throw std::invalid_argument("'operations' is not an array");
  }
  std::vector<Step> steps;
  for (const json& step : value) {
    steps.push_back(step_from_json(step));
  }
  return steps;
}

Entry entry_from_json(const json& value) {
  Entry entry;
  entry.number = number(member(value, "entry"), "entry");
  entry.engine = text(value, "engine");
  entry.previous = optional_number(value, "previous");
  entry.at = text(value, "at");
  entry.by = text(value, "by");
  entry.device = text(value, "device");
  const auto kind = entry_kind(text(value, "kind"));
  if (!kind) {
    throw std::invalid_argument("'kind' is no kind of entry");
  }
  entry.kind = *kind;
  entry.steps = steps_from_json(member(value, "operations"));
  entry.undoes = optional_number(value, "undoes");
  entry.redoes = optional_number(value, "redoes");
  if (value.contains("change_key")) {
    entry.change_key = text(value, "change_key");
  }
  entry.origin = optional_member(value, "origin");
  return entry;
}

}  // namespace fettle::ledger
