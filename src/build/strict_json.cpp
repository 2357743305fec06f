#include "build/strict_json.h"

#include <algorithm>

#include <fmt/format.h>

#include "quantity/text.h"

namespace fettle::build {
namespace {

using nlohmann::json;

std::string line_and_column(std::string_view text, std::size_t byte) {
  const auto upto = text.substr(0, std::min(byte, text.size()));
  const auto line = 1 + std::count(upto.begin(), upto.end(), '\n');
  const auto last_break = upto.rfind('\n');
  const auto column = last_break == std::string_view::npos ? upto.size() + 1 : upto.size() - last_break;
  return fmt::format("line {}, column {}", line, column);
}

/// Builds the value as the parser meets its parts, and refuses what the plain parser lets pass.
class StrictHandler : public nlohmann::json_sax<json> {
 public:
  StrictHandler(std::string_view text, const JsonBounds& bounds) : text_(text), bounds_(bounds) {}

  bool null() override { return put(nullptr); }
  bool boolean(bool value) override { return put(value); }
  bool number_integer(number_integer_t value) override { return put(value); }
  bool number_unsigned(number_unsigned_t value) override { return put(value); }
  bool number_float(number_float_t value, const string_t& /*as written*/) override { return put(value); }
  bool string(string_t& value) override { return put(std::move(value)); }
  bool binary(binary_t& /*value*/) override { return false; }

  bool start_object(std::size_t /*size*/) override { return open(json::object()); }
  bool start_array(std::size_t /*size*/) override { return open(json::array()); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }

  bool key(string_t& key) override {
    json& object = *open_.back();
    key_ = std::move(key);
    if (object.contains(key_)) {
      problems_.push_back({path(), "the same key twice", "each key once in an object", ""});
    }
    return true;
  }

  bool parse_error(std::size_t position, const std::string& token,
                   const nlohmann::detail::exception& error) override {
    const bool overflow = error.id == 406;
    problems_.push_back({line_and_column(text_, position),
                         token.empty() ? "text that breaks off" : quantity::shown_text(token),
                         overflow ? "a number that a double can hold" : "JSON text in UTF-8 (RFC 8259)",
                         overflow ? "1.5" : R"({ "fettle": 1, "name": "My engine" })"});
    return false;
  }

  StrictJson result() && {
    if (!problems_.empty()) {
      root_ = nullptr;
    }
    return {std::move(root_), std::move(problems_)};
  }

 private:
  json* place(json value) {
    if (open_.empty()) {
      root_ = std::move(value);
      return &root_;
    }
    json& parent = *open_.back();
    if (parent.is_array()) {
      parent.push_back(std::move(value));
      return &parent.back();
    }
    json& slot = parent[key_];
    slot = std::move(value);
    return &slot;
  }

  template <class T>
  bool put(T&& value) {
    place(json(std::forward<T>(value)));
    return true;
  }

  bool open(json container) {
    if (open_.size() >= bounds_.depth) {
      problems_.push_back({path(), "nesting deeper than any build needs",
                           fmt::format("at most {} arrays and objects inside each other", bounds_.depth),
                           ""});
      return false;
    }
    keys_.push_back(key_);
    open_.push_back(place(std::move(container)));
    return true;
  }

  bool close() {
    open_.pop_back();
    keys_.pop_back();
    return true;
  }

  /// Where the parser stands, as "readings[3].wheel".
  std::string path() const {
    std::string path;
    for (std::size_t depth = 0; depth < open_.size(); ++depth) {
      const json& container = *open_[depth];
      const bool innermost = depth + 1 == open_.size();
      if (container.is_array()) {
        path += fmt::format("[{}]", innermost ? container.size() : container.size() - 1);
      } else {
        const std::string& name = innermost ? key_ : keys_[depth + 1];
        path += (path.empty() ? "" : ".") + quantity::shown_text(name, 30);
      }
    }
    return path.empty() ? "document" : path;
  }

  std::string_view text_;
  JsonBounds bounds_;
  json root_;
  std::vector<json*> open_;        // containers not yet closed, outermost first
  std::vector<std::string> keys_;  // the key under which each of them was opened
  std::string key_;
  Problems problems_;
};

}  // namespace

StrictJson read_strict_json(std::string_view text, const JsonBounds& bounds) {
  if (text.size() > bounds.bytes) {
    return {nullptr,
            {{"document", fmt::format("{:.1f} MB of text", static_cast<double>(text.size()) / 1e6),
              fmt::format("at most {:.1f} MB", static_cast<double>(bounds.bytes) / 1e6), ""}}};
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    return {nullptr,
            {{"document", "nothing: the text is empty", "a build: one JSON object",
              R"({ "fettle": 1, "name": "My engine", "engine": { ... } })"}}};
  }
  StrictHandler handler(text, bounds);
  json::sax_parse(text.begin(), text.end(), &handler);
  return std::move(handler).result();
}

}  // namespace fettle::build
