#pragma once

#include <string_view>

#include <nlohmann/json.hpp>

#include "build/problem.h"

namespace fettle::build {

/// Bounds of a document, so that no text can exhaust the machine that reads it.
struct JsonBounds {
  std::size_t bytes = std::size_t{32} << 20;  ///< greatest size of the text
  std::size_t depth = 32;                     ///< greatest nesting of arrays and objects
};

/// Reads JSON (RFC 8259) strictly: UTF-8 without fault, one value, no key twice in one object, no number
/// beyond a double, size and nesting bounded. Anything else is a problem with its place; the value is then
/// null.
struct StrictJson {
  nlohmann::json value;
  Problems problems;
};

StrictJson read_strict_json(std::string_view text, const JsonBounds& bounds = {});

}  // namespace fettle::build
