// How a path finds its place in a document: docs/ledger.md, "Paths".

#include <algorithm>
#include <charconv>
#include <utility>

#include <fmt/format.h>

#include "ledger/document.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;

// The one member the ledger knows by name: its array comes into being with the first element set in it.
constexpr std::string_view readings = "readings";

std::variant<std::vector<std::string>, Fault> tokens_of(const std::string& path) {
  try {
    json::json_pointer pointer(path);
    std::vector<std::string> tokens;
    while (!pointer.empty()) {
      tokens.push_back(pointer.back());
      pointer.pop_back();
    }
    std::reverse(tokens.begin(), tokens.end());
    return tokens;
  } catch (const json::exception&) {
    return Fault{
        path,
        fmt::format("'{}' is no JSON Pointer: it starts with '/', and '~' occurs only as ~0 or ~1", path)};
  }
}

std::string path_of(const std::vector<std::string>& tokens, std::size_t count) {
  json::json_pointer pointer;
  for (std::size_t i = 0; i < count; ++i) {
    pointer.push_back(tokens[i]);
  }
  return pointer.to_string();
}

bool has_id(const json& element) {
  return element.is_object() && element.contains("id") && element.at("id").is_string();
}

bool elements_have_ids(const json& array) {
  return !array.empty() && std::all_of(array.begin(), array.end(), has_id);
}

std::optional<std::size_t> index_of(const std::string& token) {
  std::size_t index = 0;
  const auto [end, error] = std::from_chars(token.data(), token.data() + token.size(), index);
  const bool leading_zero = token.size() > 1 && token[0] == '0';
  if (error != std::errc() || end != token.data() + token.size() || leading_zero) {
    return std::nullopt;
  }
  return index;
}

// The walk of one operation's path through the document.
class Walk {
 public:
  Walk(const json& document, const Operation& operation, std::vector<std::string> tokens)
      : node_(&document), operation_(operation), tokens_(std::move(tokens)) {
    step_.path = operation.path;
    step_.value = operation.value;
  }

  std::variant<Step, Fault> run() {
    if (tokens_.empty()) {
      return whole_document();
    }
    for (std::size_t i = 0; i + 1 < tokens_.size(); ++i) {
      if (i + 2 == tokens_.size() && first_reading()) {
        return step_;
      }
      if (const auto fault = descend(i)) {
        return *fault;
      }
    }
    const auto fault = node_->is_object() ? in_object() : node_->is_array() ? in_array() : in_scalar();
    if (fault) {
      return *fault;
    }
    return step_;
  }

 private:
  [[nodiscard]] Fault fault(std::string message, bool missing) const {
    return {operation_.path, std::move(message), missing};
  }
  [[nodiscard]] std::string at(std::size_t count) const { return path_of(tokens_, count); }

  std::variant<Step, Fault> whole_document() {
    if (!operation_.value || !operation_.value->is_object()) {
      return fault("the document itself is one JSON object and cannot be removed or become anything else",
                   false);
    }
    step_.before = *node_;
    return step_;
  }

  bool first_reading() {
    const std::string& id = tokens_.back();
    if (tokens_.size() != 2 || tokens_[0] != readings || node_->contains(readings) || !operation_.value ||
        !operation_.value->is_object() || set_id(id)) {
      return false;
    }
    step_.place = {std::string(readings), std::size_t{0}};
    step_.with_array = true;
    return true;
  }

  std::optional<Fault> descend(std::size_t i) {
    const std::string& token = tokens_[i];
    inside_element_ = false;
    if (node_->is_object()) {
      const auto member = node_->find(token);
      if (member == node_->end()) {
        return fault(fmt::format("there is no '{}'", at(i + 1)), true);
      }
      step_.place.emplace_back(token);
      node_ = &*member;
      return std::nullopt;
    }
    if (!node_->is_array()) {
      return fault(fmt::format("'{}' is neither object nor array and holds nothing", at(i)), true);
    }
    const bool by_id = elements_have_ids(*node_);
    const auto index = by_id ? find_id(token) : index_of(token);
    if (ambiguous_) {
      return fault(fmt::format("two elements of '{}' have the id '{}'", at(i), token), false);
    }
    if (!index || *index >= node_->size()) {
      return fault(
          fmt::format("there is no '{}'{}", at(i + 1), by_id ? " (elements are named by their id)" : ""),
          true);
    }
    step_.place.emplace_back(*index);
    node_ = &node_->at(*index);
    inside_element_ = by_id;
    return std::nullopt;
  }

  std::optional<std::size_t> find_id(const std::string& id) {
    std::optional<std::size_t> found;
    for (std::size_t i = 0; i < node_->size(); ++i) {
      if (node_->at(i).at("id").get_ref<const std::string&>() == id) {
        ambiguous_ = found.has_value();
        found = found ? found : i;
      }
    }
    return found;
  }

  // Gives an element set by id that id. Returns the fault when it carries another.
  std::optional<Fault> set_id(const std::string& id) {
    json& value = *step_.value;
    if (!value.is_object()) {
      return fault("an element named by its id is an object", false);
    }
    if (value.contains("id") && value.at("id") != id) {
      return fault(fmt::format("the value carries the id {}, the path says '{}'", value.at("id").dump(), id),
                   false);
    }
    value["id"] = id;
    return std::nullopt;
  }

  std::optional<Fault> in_object() {
    const std::string& token = tokens_.back();
    step_.place.emplace_back(token);
    if (const auto member = node_->find(token); member != node_->end()) {
      step_.before = *member;
    }
    if (!step_.value && !step_.before) {
      return fault(fmt::format("there is no '{}' to remove", operation_.path), true);
    }
    const bool changes_id =
        inside_element_ && token == "id" && !(step_.value && identical(step_.value, step_.before));
    if (changes_id) {
      return fault("the id of an element stays; remove the element and set another", false);
    }
    return std::nullopt;
  }

  std::optional<Fault> in_array() {
    const std::string& token = tokens_.back();
    const bool value_says_id = step_.value && has_id(*step_.value) && step_.value->at("id") == token;
    const bool first_by_id =
        node_->empty() && step_.value && (value_says_id || (token != "-" && !index_of(token)));
    if (elements_have_ids(*node_) || first_by_id) {
      return in_array_by_id(token);
    }
    const auto index = token == "-" ? std::optional(node_->size()) : index_of(token);
    const std::size_t end = node_->size() + (step_.value ? 1 : 0);
    if (!index || *index >= end) {
      return fault(fmt::format("'{}' has {} elements without ids: '{}' is no place in it",
                               at(tokens_.size() - 1), node_->size(), token),
                   true);
    }
    if (*index < node_->size()) {
      step_.before = node_->at(*index);
    }
    step_.place.emplace_back(*index);
    step_.shifts = !step_.before || !step_.value;
    step_.path = fmt::format("{}/{}", at(tokens_.size() - 1), *index);
    return std::nullopt;
  }

  std::optional<Fault> in_array_by_id(const std::string& id) {
    const auto index = find_id(id);
    if (ambiguous_) {
      return fault(fmt::format("two elements of '{}' have the id '{}'", at(tokens_.size() - 1), id), false);
    }
    if (index) {
      step_.before = node_->at(*index);
    } else if (!step_.value) {
      return fault(fmt::format("there is no '{}' to remove", operation_.path), true);
    }
    step_.place.emplace_back(index.value_or(node_->size()));
    return step_.value ? set_id(id) : std::nullopt;
  }

  [[nodiscard]] std::optional<Fault> in_scalar() const {
    return fault(fmt::format("'{}' is neither object nor array and holds nothing", at(tokens_.size() - 1)),
                 true);
  }

  const json* node_;
  const Operation& operation_;
  std::vector<std::string> tokens_;
  Step step_;
  bool inside_element_ = false;
  bool ambiguous_ = false;
};

}  // namespace

std::variant<Step, Fault> resolve(const json& document, const Operation& operation) {
  auto tokens = tokens_of(operation.path);
  if (auto* fault = std::get_if<Fault>(&tokens)) {
    return *fault;
  }
  return Walk(document, operation, std::get<std::vector<std::string>>(tokens)).run();
}

std::optional<json> value_at(const json& document, const std::string& path) {
  // Removing reports what is there: the same walk serves for looking.
  const auto found = resolve(document, {path, std::nullopt});
  if (path.empty()) {
    return document;
  }
  const auto* step = std::get_if<Step>(&found);
  return step != nullptr ? step->before : std::nullopt;
}

}  // namespace fettle::ledger
