#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stations/inventory.h"
#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// A value and its expanded uncertainty.
struct Doubtful {
  double value = 0;
  double expanded = 0;
};

/// What one lobe shows against its card; crank radians, positive late.
struct LobeEvidence {
  LobeKey key;
  std::vector<int> readings;
  std::optional<Doubtful> lateness;        ///< of the centre, against the card in the timing set's position
  std::optional<Doubtful> duration_error;  ///< at 0.050 in, else at the lowest check lift the card has
  std::optional<Doubtful> opening_late;    ///< at the same lift, the centre's lateness not taken off
  std::optional<Doubtful> closing_late;
  std::optional<Doubtful> lift_over_card;  ///< measured over card
  std::optional<Doubtful> asymmetry;
};

struct CamEvidence {
  std::vector<LobeEvidence> lobes;
  std::map<int, Doubtful> separation_errors;  ///< by cylinder, against the card
};

/// Middle of the errors in lobe separation of the cylinders both of whose lobes are still in the evidence.
std::optional<Doubtful> separation_error(const CamEvidence& evidence);

CamEvidence gather_cam_evidence(const Sources& sources, const Report& report);

/// Middle value of a list, which must not be empty.
double median(std::vector<double> values);

/// "108.2 deg" and "1.5 deg late".
std::string degrees_text(double radians, int decimals = 1);

/// "intake lobe of cylinder 3".
std::string lobe_text(const LobeKey& key);

}  // namespace fettle::stations
