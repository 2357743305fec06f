#include "ledger/document.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace fettle::ledger {
namespace {

using nlohmann::json;

std::optional<std::string> unfit_shape(const json& value, int depth_left) {
  if (depth_left <= 0) {
    return "values nested too deep";
  }
  if (value.is_number_float() && !std::isfinite(value.get<double>())) {
    return "a number that is not finite";
  }
  if (value.is_binary() || value.is_discarded()) {
    return "not a JSON value";
  }
  if (value.is_structured()) {
    for (const auto& inner : value) {
      if (auto wrong = unfit_shape(inner, depth_left - 1)) {
        return wrong;
      }
    }
  }
  return std::nullopt;
}

// The member or element of a node that one part of a place names, or null.
json* child(json& node, const Place::value_type& part) {
  if (const auto* key = std::get_if<std::string>(&part)) {
    if (!node.is_object()) {
      return nullptr;
    }
    const auto member = node.find(*key);
    return member == node.end() ? nullptr : &*member;
  }
  const std::size_t index = std::get<std::size_t>(part);
  return node.is_array() && index < node.size() ? &node.at(index) : nullptr;
}

bool insert(json& parent, const Place::value_type& part, const json& value) {
  if (const auto* key = std::get_if<std::string>(&part)) {
    return parent.is_object() && parent.emplace(*key, value).second;
  }
  const std::size_t index = std::get<std::size_t>(part);
  if (!parent.is_array() || index > parent.size()) {
    return false;
  }
  parent.insert(parent.begin() + static_cast<json::difference_type>(index), value);
  return true;
}

void erase(json& parent, const Place::value_type& part) {
  if (const auto* key = std::get_if<std::string>(&part)) {
    parent.erase(*key);
  } else {
    parent.erase(std::get<std::size_t>(part));
  }
}

std::optional<std::string> misfit(const Step& step, std::string_view why) {
  return fmt::format("the step at '{}' does not fit the document: {}", step.path, why);
}

std::optional<std::string> replace_root(json& document, const Step& step) {
  if (!step.value || !step.value->is_object() || !identical(step.before, std::optional(document))) {
    return misfit(step, "the document is not what it replaced");
  }
  document = *step.value;
  return std::nullopt;
}

std::optional<std::string> apply_below(json& parent, const Step& step) {
  const auto& last = step.place.back();
  if (!step.before) {
    if (!step.value || !insert(parent, last, *step.value)) {
      return misfit(step, "there is no room for what it inserted");
    }
    return std::nullopt;
  }
  json* target = child(parent, last);
  if (target == nullptr || !identical(*target, *step.before)) {
    return misfit(step, "what it replaced or removed is not there");
  }
  if (step.value) {
    *target = *step.value;
  } else {
    erase(parent, last);
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> unfit(const json& value, int depth) {
  std::string text;
  return unfit(value, depth, text);
}

std::optional<std::string> unfit(const json& value, int depth, std::string& text) {
  if (auto wrong = unfit_shape(value, depth)) {
    return wrong;
  }
  try {
    text = value.dump();
  } catch (const json::exception&) {
    return "a text that is not UTF-8";
  }
  return std::nullopt;
}

std::variant<std::vector<Step>, Fault> apply_operations(json& document,
                                                        const std::vector<Operation>& operations) {
  std::vector<Step> steps;
  for (const Operation& operation : operations) {
    auto resolved = resolve(document, operation);
    if (auto* fault = std::get_if<Fault>(&resolved)) {
      return *fault;
    }
    auto& step = std::get<Step>(resolved);
    if (auto wrong = apply_step(document, step)) {
      return Fault{operation.path, *wrong};
    }
    steps.push_back(std::move(step));
  }
  return steps;
}

std::optional<std::string> apply_step(json& document, const Step& step) {
  if (step.place.empty()) {
    return replace_root(document, step);
  }
  json* parent = &document;
  const std::size_t depth = step.place.size() - 1;
  const bool makes_array = step.with_array && !step.before;
  for (std::size_t i = 0; i < depth; ++i) {
    if (makes_array && i + 1 == depth && !insert(*parent, step.place[i], json::array())) {
      return misfit(step, "the array it made is there already");
    }
    json* next = child(*parent, step.place[i]);
    if (next == nullptr) {
      return misfit(step, "its place does not exist");
    }
    if (step.with_array && step.before && i + 1 == depth) {
      if (step.value || next->size() != 1 || !identical(next->front(), *step.before)) {
        return misfit(step, "the array it emptied holds something else");
      }
      erase(*parent, step.place[i]);
      return std::nullopt;
    }
    parent = next;
  }
  return apply_below(*parent, step);
}

std::vector<Step> inverse(const std::vector<Step>& steps) {
  std::vector<Step> back(steps.rbegin(), steps.rend());
  for (Step& step : back) {
    std::swap(step.value, step.before);
  }
  return back;
}

std::string_view touched(const Step& step) {
  const std::string_view path = step.path;
  return step.shifts ? path.substr(0, path.rfind('/')) : path;
}

bool overlap(std::string_view a, std::string_view b) {
  const auto& shorter = a.size() <= b.size() ? a : b;
  const auto& longer = a.size() <= b.size() ? b : a;
  return longer.substr(0, shorter.size()) == shorter &&
         (longer.size() == shorter.size() || longer[shorter.size()] == '/');
}

bool identical(const json& a, const json& b) {
  return a.dump() == b.dump();
}

bool identical(const std::optional<json>& a, const std::optional<json>& b) {
  return a.has_value() == b.has_value() && (!a || identical(*a, *b));
}

}  // namespace fettle::ledger
