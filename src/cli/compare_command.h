#pragma once

#include <iosfwd>
#include <string>

#include "quantity/print.h"

namespace fettle::cli {

struct CompareRequest {
  std::string from;
  std::string to;
  bool json = false;
  quantity::System system = quantity::System::inch;
};

/// Exit codes of `fettle compare`: 0 no finding differs, 1 some do, 2 bad input. Reads and proves two builds
/// and writes every finding that differs, as text or JSON, to `out`, problems to `err`. One of the two may be
/// standard input.
int compare_command(const CompareRequest& request, std::istream& in, std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
