#pragma once

#include <optional>
#include <vector>

#include "stations/observed.h"

/// What several readings of one round surface say of its size and shape.
namespace fettle::stations {

/// One diameter and where it was read.
struct DiameterAt {
  double diameter = 0;           ///< m
  std::optional<double> along;   ///< place along the axis, m
  std::optional<double> around;  ///< direction, rad; the same half a turn on
};

/// The diameters of these readings, in their order.
std::vector<DiameterAt> diameters(const Observed& observed, const std::vector<int>& readings);

/// Mean over all of them; nothing of none.
std::optional<double> mean_diameter(const std::vector<DiameterAt>& points);
std::optional<double> least_diameter(const std::vector<DiameterAt>& points);

/// Mean of those read in the vertical: within 15 degrees of it, or with no direction said.
std::optional<double> vertical_diameter(const std::vector<DiameterAt>& points);

/// Greatest less least over the places of the mean over those directions that were read at every place;
/// nothing where no direction was read at two places. Places within 1 mm are one, directions within 5
/// degrees.
std::optional<double> taper(const std::vector<DiameterAt>& points);

/// Greatest less least over the directions at one place, at the place where it is greatest; nothing where no
/// place was read in two directions.
std::optional<double> out_of_round(const std::vector<DiameterAt>& points);

}  // namespace fettle::stations
