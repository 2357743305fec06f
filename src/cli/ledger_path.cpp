#include "cli/ledger_path.h"

#include <cstdlib>
#include <stdexcept>

namespace fettle::cli {

std::filesystem::path default_ledger() {
  const char* data = std::getenv("XDG_DATA_HOME");
  // The specification: a relative path is to be ignored.
  if (data != nullptr && *data == '/') {
    return std::filesystem::path(data) / "fettle" / "ledger.fettle";
  }
  const char* home = std::getenv("HOME");
  if (home == nullptr || *home == '\0') {
    throw std::runtime_error("no place for a ledger is known: HOME is not set; name one with --ledger FILE");
  }
  return std::filesystem::path(home) / ".local" / "share" / "fettle" / "ledger.fettle";
}

std::filesystem::path ledger_or_default(const std::string& named) {
  if (!named.empty()) {
    return named;
  }
  std::filesystem::path file = default_ledger();
  std::filesystem::create_directories(file.parent_path());
  return file;
}

}  // namespace fettle::cli
