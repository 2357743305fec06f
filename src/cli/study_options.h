#pragma once

#include <thread>

#include <CLI/CLI.hpp>

#include "cli/study_command.h"

namespace fettle::cli {

/// Options of `fettle study`, alike for the command and for the program that mpirun runs.
inline void add_study_options(CLI::App& app, StudyRequest& study, bool& metric) {
  app.add_option("STUDY", study.path, "file with the study, - for standard input")->required();
  app.add_option("-o,--output", study.output,
                 "file of results (SQLite); one that was begun is gone on with. Left out: none is kept");
  app.add_option("--threads", study.threads, "draws at once (left out: as many as there are cores)")
      ->check(CLI::Range(1U, 1024U));
  app.add_option("--patience", study.patience,
                 "under mpirun: seconds for which a rank may be silent before its work goes to others")
      ->capture_default_str()
      ->check(CLI::Range(2.0, 86400.0));
  app.add_flag("--json", study.json, "print the summary as JSON, in SI units and radians");
  app.add_flag("--metric", metric, "print lengths in mm");
}

}  // namespace fettle::cli
