#pragma once

namespace fettle::metrology {

/// Factor k with probability p that a Student t of `dof` degrees of freedom lies in -k..k; dof need not be
/// whole and may be infinite (normal). Throws std::invalid_argument for p outside 0..1 (exclusive) or dof <=
/// 0.
double coverage_factor(double probability, double dof);

/// Probability that a Student t of `dof` degrees of freedom (infinity: normal) is at most t.
double student_cdf(double t, double dof);

}  // namespace fettle::metrology
