#pragma once

#include <atomic>
#include <iosfwd>
#include <memory>
#include <string>

#include "cli/prove_command.h"
#include "quantity/print.h"
#include "study/plan.h"
#include "study/run.h"

namespace fettle::cli {

struct StudyRequest {
  std::string path;
  std::string output;    ///< file of results; empty: none is kept
  unsigned threads = 0;  ///< 0: as many as the machine has cores
  double patience = 20;  ///< under mpirun: seconds for which a rank may be silent and not be lost
  bool json = false;
  bool progress = false;  ///< on `err`
  quantity::System system = quantity::System::inch;
  const std::atomic<bool>* cancel = nullptr;
};

/// The plan of the study in a file; nothing after saying on `err` (and with `json` on `out`) what is wrong.
std::unique_ptr<study::Plan> read_study_file(const StudyRequest& request, std::istream& in, std::ostream& out,
                                             std::ostream& err);

/// Works out what the file of results has not yet, and writes the summary to `out`; with `helpers` beside
/// this process.
ExitCode run_study_plan(const study::Plan& plan, const StudyRequest& request, study::Helpers* helpers,
                        std::ostream& out, std::ostream& err);

/// Exit codes of `fettle study`: 0 every draw was worked out, 1 it was broken off (the same command goes on
/// with it), 2 bad input.
ExitCode study_command(const StudyRequest& request, std::istream& in, std::ostream& out, std::ostream& err);

/// Under mpirun: the program beside this one that is built with MPI takes this process over with the same
/// arguments. Comes back with what went wrong; where mpirun did not start this process, with an empty text.
std::string become_rank(char** arguments);

}  // namespace fettle::cli
