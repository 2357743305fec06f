#include "cli/input.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

#include <fmt/format.h>

namespace fettle::cli {
namespace {

InputText read_stream(std::istream& stream, const std::string& name, std::size_t most) {
  std::string text;
  char block[1 << 16];
  while (stream.read(block, sizeof block) || stream.gcount() > 0) {
    text.append(block, static_cast<std::size_t>(stream.gcount()));
    if (text.size() > most) {
      return {std::nullopt, fmt::format("{}: given more than {} MB; accepted: a build of at most that size",
                                        name, most >> 20)};
    }
  }
  if (stream.bad()) {
    return {std::nullopt, fmt::format("{}: cannot be read: {}", name, std::strerror(errno))};
  }
  return {std::move(text), {}};
}

}  // namespace

InputText read_input(const std::string& path, std::istream& standard_input, std::size_t most) {
  if (path == "-") {
    return read_stream(standard_input, "standard input", most);
  }
  std::error_code error;
  if (std::filesystem::is_directory(path, error)) {
    return {std::nullopt, fmt::format("{}: given a folder; accepted: a file with a build", path)};
  }
  std::ifstream file(path, std::ios::binary);
  if (!file) {
    return {std::nullopt, fmt::format("{}: cannot be opened: {}", path, std::strerror(errno))};
  }
  return read_stream(file, path, most);
}

}  // namespace fettle::cli
