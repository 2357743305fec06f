#include "quantity/text.h"

#include <algorithm>
#include <array>
#include <cstdint>

namespace fettle::quantity {
namespace {

struct Decoded {
  char32_t code;       // U+FFFD for what is no UTF-8
  std::size_t length;  // bytes taken, at least 1
};

constexpr char32_t replacement = 0xFFFD;

bool is_continuation(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

// One character of UTF-8 (RFC 3629: no overlong forms, no surrogates, nothing past U+10FFFF).
Decoded decode(std::string_view text) {
  const auto first = static_cast<unsigned char>(text.front());
  if (first < 0x80) {
    return {first, 1};
  }
  std::size_t length = 0;
  char32_t code = 0;
  char32_t least = 0;
  if ((first & 0xE0U) == 0xC0U) {
    length = 2, code = first & 0x1FU, least = 0x80;
  } else if ((first & 0xF0U) == 0xE0U) {
    length = 3, code = first & 0x0FU, least = 0x800;
  } else if ((first & 0xF8U) == 0xF0U) {
    length = 4, code = first & 0x07U, least = 0x10000;
  } else {
    return {replacement, 1};
  }
  if (text.size() < length) {
    return {replacement, 1};
  }
  for (std::size_t i = 1; i < length; ++i) {
    if (!is_continuation(text[i])) {
      return {replacement, 1};
    }
    code = (code << 6U) | (static_cast<unsigned char>(text[i]) & 0x3FU);
  }
  if (code < least || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF)) {
    return {replacement, 1};
  }
  return {code, length};
}

struct Substitute {
  char32_t code;
  std::string_view ascii;
};

constexpr std::array substitutes = {
    Substitute{'\t', " "},       Substitute{0x00A0, " "},     Substitute{0x202F, " "},
    Substitute{0x205F, " "},     Substitute{0x3000, " "},     Substitute{0xFEFF, " "},
    Substitute{0x2060, " "},     Substitute{0x2212, "-"},     Substitute{0x2010, "-"},
    Substitute{0x2011, "-"},     Substitute{0x2013, "-"},     Substitute{0x00B5, "u"},
    Substitute{0x03BC, "u"},     Substitute{0x00B0, "deg "},  Substitute{0x00BA, "deg "},
    Substitute{0x02DA, "deg "},  Substitute{0x2103, "deg C"}, Substitute{0x2109, "deg F"},
    Substitute{0x2032, "'"},     Substitute{0x2019, "'"},     Substitute{0x2018, "'"},
    Substitute{0x2033, "\""},    Substitute{0x201D, "\""},    Substitute{0x201C, "\""},
    Substitute{0x00B7, " "},     Substitute{0x22C5, " "},     Substitute{0x2219, " "},
    Substitute{0x2022, " "},     Substitute{0x00B2, "^2"},    Substitute{0x00B3, "^3"},
    Substitute{0x2044, "/"},     Substitute{0x2215, "/"},     Substitute{0x00BC, " 1/4 "},
    Substitute{0x00BD, " 1/2 "}, Substitute{0x00BE, " 3/4 "}, Substitute{0x2153, " 1/3 "},
    Substitute{0x2154, " 2/3 "}, Substitute{0x215B, " 1/8 "}, Substitute{0x215C, " 3/8 "},
    Substitute{0x215D, " 5/8 "}, Substitute{0x215E, " 7/8 "},
};

std::string_view substitute_for(char32_t code) {
  if (code >= 0x2000 && code <= 0x200B) {
    return " ";  // the blanks of all widths
  }
  const auto* const found = std::find_if(substitutes.begin(), substitutes.end(),
                                         [code](const Substitute& s) { return s.code == code; });
  return found == substitutes.end() ? std::string_view{} : found->ascii;
}

void append(std::string& plain, std::string_view ascii) {
  for (const char c : ascii) {
    if (c == ' ' && (plain.empty() || plain.back() == ' ')) {
      continue;
    }
    // Two apostrophes are the inch mark of a keyboard without one.
    if (c == '\'' && !plain.empty() && plain.back() == '\'') {
      plain.back() = '"';
      continue;
    }
    plain += c;
  }
}

}  // namespace

std::string plain_text(std::string_view utf8) {
  std::string plain;
  plain.reserve(utf8.size());
  while (!utf8.empty()) {
    const Decoded character = decode(utf8);
    const std::string_view ascii = substitute_for(character.code);
    if (!ascii.empty()) {
      append(plain, ascii);
    } else if (character.code >= 0x20 && character.code < 0x7F) {
      append(plain, utf8.substr(0, 1));
    } else {
      plain += foreign_character;
    }
    utf8.remove_prefix(character.length);
  }
  return std::string(trim(plain));
}

std::string shown_text(std::string_view text, std::size_t longest) {
  std::string shown;
  while (!text.empty()) {
    const Decoded character = decode(text);
    const bool control = character.code < 0x20 || (character.code >= 0x7F && character.code < 0xA0);
    const std::string_view bytes =
        control || character.code == replacement ? "\xEF\xBF\xBD" : text.substr(0, character.length);
    if (shown.size() + bytes.size() > longest) {
      return shown + "...";
    }
    shown += bytes;
    text.remove_prefix(character.length);
  }
  return shown;
}

std::string lower(std::string_view text) {
  std::string lowered(text);
  std::transform(lowered.begin(), lowered.end(), lowered.begin(), [](char c) { return lower(c); });
  return lowered;
}

std::string_view trim(std::string_view text) {
  while (!text.empty() && text.front() == ' ') {
    text.remove_prefix(1);
  }
  while (!text.empty() && text.back() == ' ') {
    text.remove_suffix(1);
  }
  return text;
}

}  // namespace fettle::quantity
