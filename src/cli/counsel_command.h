#pragma once

#include <iosfwd>
#include <string>

#include "cli/prove_command.h"
#include "quantity/print.h"

namespace fettle::cli {

struct CounselRequest {
  std::string path;
  int most_together = 3;
  bool json = false;
  quantity::System system = quantity::System::inch;
  bool colour = false;
};

/// Reads the build, weighs its corrections, writes text or JSON to `out` and problems to `err`. Exit codes as
/// `fettle prove`, of the build as it stands.
ExitCode counsel_command(const CounselRequest& request, std::istream& in, std::ostream& out,
                         std::ostream& err);

}  // namespace fettle::cli
