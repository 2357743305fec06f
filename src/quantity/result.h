#pragma once

#include <stdexcept>
#include <type_traits>
#include <utility>
#include <variant>

namespace fettle::quantity {

// Either a value or the reason why there is none. User input that cannot be understood is data, not an
// exception; asking for the part that is not there is a programming error and throws std::invalid_argument.
//
//     Result<Length, ParseError> bore = parse<Dimension::length>(text);
//     if (!bore) return bore.error().message();
//     use(bore->si());
template <typename T, typename E>
class [[nodiscard]] Result {
  static_assert(!std::is_same_v<T, E>, "a Result must be able to tell its value from its error");

 public:
  using value_type = T;
  using error_type = E;

  // Not explicit, so that a function returns either by plain `return`.
  Result(T value) : content_(std::in_place_index<0>, std::move(value)) {}
  Result(E error) : content_(std::in_place_index<1>, std::move(error)) {}

  bool has_value() const noexcept { return content_.index() == 0; }
  explicit operator bool() const noexcept { return has_value(); }

  const T& value() const& {
    require(has_value(), "Result::value: this result holds an error");
    return *std::get_if<0>(&content_);
  }
  T&& value() && {
    require(has_value(), "Result::value: this result holds an error");
    return std::move(*std::get_if<0>(&content_));
  }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  const T* operator->() const { return &value(); }

  const E& error() const& {
    require(!has_value(), "Result::error: this result holds a value");
    return *std::get_if<1>(&content_);
  }
  E&& error() && {
    require(!has_value(), "Result::error: this result holds a value");
    return std::move(*std::get_if<1>(&content_));
  }

  T value_or(T otherwise) const& { return has_value() ? value() : std::move(otherwise); }

 private:
  static void require(bool holds, const char* message) {
    if (!holds) {
      throw std::invalid_argument(message);
    }
  }

  std::variant<T, E> content_;
};

}  // namespace fettle::quantity
