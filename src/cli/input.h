#pragma once

#include <istream>
#include <optional>
#include <string>

namespace fettle::cli {

/// A file's text, or why it could not be had.
struct InputText {
  std::optional<std::string> text;
  std::string problem;
};

/// Reads a whole file ("-" is standard input), refusing those larger than `most` bytes without reading them
/// in.
InputText read_input(const std::string& path, std::istream& standard_input, std::size_t most);

}  // namespace fettle::cli
