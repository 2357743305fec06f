#include "cli/whole_file.h"

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace fettle::cli {
namespace {

bool write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(file, bytes.data(), bytes.size());
    if (written > 0) {
      bytes.remove_prefix(static_cast<std::size_t>(written));
    } else if (errno != EINTR) {
      return false;
    }
  }
  return ::fsync(file) == 0;
}

}  // namespace

std::optional<std::string> write_whole_file(const std::filesystem::path& file, std::string_view bytes) {
  const auto explain = [&] {
    return fmt::format("{} cannot be written: {}; nothing is there that was not there before", file.string(),
                       std::strerror(errno));
  };
  std::string beside = file.string() + ".XXXXXX";
  const int handle = ::mkstemp(beside.data());
  if (handle < 0) {
    return explain();
  }
  // mkstemp makes it private; a document is as open as the user's other files.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  ::fchmod(handle, 0666 & ~mask);
  const bool written = write_all(handle, bytes);
  if (!written || ::close(handle) != 0 || std::rename(beside.c_str(), file.c_str()) != 0) {
    auto problem = explain();
    if (!written) {
      ::close(handle);
    }
    ::unlink(beside.c_str());
    return problem;
  }
  return std::nullopt;
}

}  // namespace fettle::cli
