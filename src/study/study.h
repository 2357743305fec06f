#pragma once

#include <optional>
#include <string>
#include <vector>

#include "build/types.h"

/// The study: many builds derived from one. Plain data as the document has it (docs/study.md); plan.h says
/// what it comes to for a build.
namespace fettle::study {

/// How the numbers of a draw are come by.
enum class Drawing {
  grid,    ///< every combination of the values listed
  random,  ///< each draw independent of the others
  sobol    ///< a Sobol sequence, shifted at random: fills the space evenly
};

enum class Spread { rectangular, triangular, normal };

/// What a number that differs from the build's means for readings taken already.
enum class Meaning {
  doubted,  ///< it was so all along and nobody knew: the readings were taken on it
  changed   ///< the part is changed after they were taken: what they say moves with it
};

/// One number of the build that varies, in one of the ways: a list; from .. to (in steps on a grid); a
/// tolerance or a standard deviation about a middle.
struct Varied {
  std::string path;  ///< JSON Pointer into the build
  std::optional<std::string> name;
  std::vector<std::string> list;
  std::optional<std::string> from, to;
  std::optional<int> steps;              ///< values of a grid, both ends with them
  std::optional<std::string> tolerance;  ///< half width about the middle
  std::optional<std::string> sd;         ///< standard deviation about the middle
  std::optional<std::string> middle;     ///< default: what the build says
  std::optional<Spread> spread;          ///< of a tolerance or from .. to; default: rectangular
  std::optional<Meaning> meaning;        ///< default: doubted with a tolerance or sd, else changed
};

/// Findings that are wanted: those of a station or of one id, of all places or of one.
struct WantedFinding {
  std::string finding;  ///< "compression", or an id of docs/findings.md
  std::optional<int> cylinder;
  std::optional<build::Valve> valve;
  std::optional<int> main;
  std::optional<std::string> part;
};

enum class PullFigure { mean_torque, peak_torque, peak_power };

struct WantedPull {
  quantity::RotationalSpeed from = quantity::RotationalSpeed::from_si(0);
  quantity::RotationalSpeed to = quantity::RotationalSpeed::from_si(0);
  std::optional<quantity::RotationalSpeed> step;  ///< default: 500 rpm
  std::vector<PullFigure> figures;                ///< default: all
};

struct Study {
  int study = 1;  ///< version of the format
  std::string name;
  std::string build;  ///< path of the build, from the study's own folder; empty: it stood in the document
  Drawing draw = Drawing::random;
  std::optional<int> count;      ///< draws; of a grid none
  std::optional<int> seed;       ///< default: 1
  std::optional<bool> readings;  ///< the readings are drawn within their doubt too; default: false
  std::optional<bool> indices;   ///< Sobol's design for shares by variance; default: false
  std::vector<Varied> vary;
  std::vector<WantedFinding> findings;  ///< empty without a pull: all of the stations but valve_train
  std::optional<WantedPull> pull;
};

}  // namespace fettle::study
