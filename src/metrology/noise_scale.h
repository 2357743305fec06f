#pragma once

#include "metrology/least_squares.h"

namespace fettle::metrology {

/// Sets s and dof of a fit from its weighted residual sum and scales its unit covariance; a fit left without
/// degrees of freedom loses its covariance and says so. Throws std::invalid_argument for a negative
/// prior_dof.
void set_scale(LeastSquaresFit& fit, const NoiseScale& scale, Eigen::Index readings, Eigen::Index parameters);

}  // namespace fettle::metrology
