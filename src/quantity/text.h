#pragma once

#include <string>
#include <string_view>

namespace fettle::quantity {

// Marks, in plain text, a character that no quantity contains.
inline constexpr char foreign_character = '\x01';

// The text in printable ASCII, with what people and word processors write for it brought to one form: every
// kind of blank to ' ', minus and hyphens to '-', the micro sign to 'u', degree signs to "deg", primes and
// quotes to ' and ", ½ to 1/2, ² and ³ to ^2 and ^3, the multiplication dot to ' '. Whatever else is not
// ASCII, is a control character or no UTF-8 becomes foreign_character. Blanks are trimmed and never doubled.
std::string plain_text(std::string_view utf8);

// The text as a message may show it: valid UTF-8, no control characters, at most `longest` bytes and "..." .
std::string shown_text(std::string_view text, std::size_t longest = 60);

constexpr bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}
constexpr bool is_letter(char c) noexcept {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
constexpr char lower(char c) noexcept {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string lower(std::string_view text);
std::string_view trim(std::string_view text);

}  // namespace fettle::quantity
