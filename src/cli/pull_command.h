#pragma once

#include <atomic>
#include <iosfwd>
#include <string>
#include <vector>

#include "cli/prove_command.h"
#include "quantity/print.h"

namespace fettle::cli {

struct PullRequest {
  std::string path;
  double from_rpm = 1500;
  double to_rpm = 6500;
  double step_rpm = 250;
  std::vector<double> cam_degrees = {0};  ///< crank degrees earlier than fitted
  std::string barometer;                  ///< of the dry air; empty: 990 mbar
  std::string air;                        ///< temperature; empty: 25 C
  unsigned threads = 0;
  bool json = false;
  bool doubts = false;
  bool dynamic = false;  ///< valves as they run
  bool traces = false;
  int trace_cylinder = 1;
  bool progress = false;  ///< on `err`
  quantity::System system = quantity::System::inch;
  const std::atomic<bool>* cancel = nullptr;
};

/// Exit codes of `fettle pull`: 0 all speeds run, 1 some did not settle or it was broken off, 2 bad input.
/// Reads the build, runs the pull, writes table or JSON to `out` once it is whole, problems to `err`.
ExitCode pull_command(const PullRequest& request, std::istream& in, std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
