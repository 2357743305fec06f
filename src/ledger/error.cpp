#include "ledger/error.h"

#include <utility>

#include <fmt/format.h>

namespace fettle::ledger {

LedgerError::LedgerError(Trouble trouble, std::filesystem::path file, std::string what, std::string remedy)
    : std::runtime_error(fmt::format("{}: {}; {}", file.string(), what, remedy)),
      trouble_(trouble),
      file_(std::move(file)),
      happened_(std::move(what)),
      remedy_(std::move(remedy)) {}

}  // namespace fettle::ledger
