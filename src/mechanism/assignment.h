#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

namespace fettle::mechanism {

/// Who gets what: shims to buckets, pistons to bores.
struct Assignment {
  std::vector<std::optional<std::size_t>> column_of_row;  ///< empty for rows left over
  double cost = 0.0;                                      ///< sum over the pairs
};

/// The pairing of rows with columns of least total cost in which every row has a column of its own (or, with
/// more rows than columns, every column a row). cost(i, j) is in any unit; +infinity forbids the pair.
/// Nothing if the forbidden pairs leave no complete pairing. Exact: shortest augmenting paths with
/// potentials, O(n² m) for n the lesser and m the greater dimension. Throws std::invalid_argument for NaN or
/// −infinity. Source: Burkard, Dell'Amico and Martello, *Assignment Problems*, section 4.4 (the method of
/// Kuhn 1955 and Munkres 1957, in the form of Jonker and Volgenant, Computing 38, 1987).
std::optional<Assignment> assign(const Eigen::MatrixXd& cost);

}  // namespace fettle::mechanism
