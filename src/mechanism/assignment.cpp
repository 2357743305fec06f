#include "mechanism/assignment.h"

#include <cmath>
#include <limits>
#include <stdexcept>

namespace fettle::mechanism {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

/// Grows a pairing of rows and columns by one row at a time; rows <= columns.
class Pairing {
 public:
  explicit Pairing(const Eigen::MatrixXd& cost)
      : cost_(cost),
        columns_(static_cast<std::size_t>(cost.cols())),
        row_potential_(static_cast<std::size_t>(cost.rows()), 0.0),
        column_potential_(columns_, 0.0),
        row_of_(columns_, none) {}

  /// False if the row cannot be paired without leaving an earlier one alone.
  bool add(std::size_t row) {
    std::vector<double> distance(columns_, infinity);
    std::vector<std::size_t> previous(columns_, none);  // column before on the path, none: the new row itself
    std::vector<bool> settled(columns_, false);
    std::size_t from_row = row;
    std::size_t from_column = none;
    double reached = 0.0;
    for (;;) {
      std::size_t nearest = none;
      for (std::size_t j = 0; j < columns_; ++j) {
        if (settled[j]) {
          continue;
        }
        const double through = reached + reduced(from_row, j);
        if (through < distance[j]) {
          distance[j] = through;
          previous[j] = from_column;
        }
        if (distance[j] < infinity && (nearest == none || distance[j] < distance[nearest])) {
          nearest = j;
        }
      }
      if (nearest == none) {
        return false;
      }
      settled[nearest] = true;
      reached = distance[nearest];
      if (row_of_[nearest] == none) {
        update_potentials(row, distance, settled, reached);
        turn_over(row, nearest, previous);
        return true;
      }
      from_row = row_of_[nearest];
      from_column = nearest;
    }
  }

  const std::vector<std::size_t>& row_of() const { return row_of_; }

 private:
  double reduced(std::size_t row, std::size_t column) const {
    return cost_(static_cast<Eigen::Index>(row), static_cast<Eigen::Index>(column)) - row_potential_[row] -
           column_potential_[column];
  }

  void update_potentials(std::size_t row, const std::vector<double>& distance,
                         const std::vector<bool>& settled, double reached) {
    row_potential_[row] += reached;
    for (std::size_t j = 0; j < columns_; ++j) {
      if (settled[j]) {
        column_potential_[j] -= reached - distance[j];
        if (row_of_[j] != none) {
          row_potential_[row_of_[j]] += reached - distance[j];
        }
      }
    }
  }

  void turn_over(std::size_t row, std::size_t column, const std::vector<std::size_t>& previous) {
    while (previous[column] != none) {
      row_of_[column] = row_of_[previous[column]];
      column = previous[column];
    }
    row_of_[column] = row;
  }

  const Eigen::MatrixXd& cost_;
  std::size_t columns_;
  std::vector<double> row_potential_;
  std::vector<double> column_potential_;
  std::vector<std::size_t> row_of_;
};

}  // namespace

std::optional<Assignment> assign(const Eigen::MatrixXd& cost) {
  for (const double entry : cost.reshaped()) {
    if (std::isnan(entry) || entry == -infinity) {
      throw std::invalid_argument("assign: a cost is a number or +infinity");
    }
  }
  const bool upright = cost.rows() <= cost.cols();
  const Eigen::MatrixXd wide = upright ? cost : Eigen::MatrixXd(cost.transpose());
  Pairing pairing(wide);
  for (std::size_t row = 0; row < static_cast<std::size_t>(wide.rows()); ++row) {
    if (!pairing.add(row)) {
      return std::nullopt;
    }
  }
  Assignment result;
  result.column_of_row.resize(static_cast<std::size_t>(cost.rows()));
  for (std::size_t column = 0; column < pairing.row_of().size(); ++column) {
    const std::size_t row = pairing.row_of()[column];
    if (row == none) {
      continue;
    }
    result.cost += wide(static_cast<Eigen::Index>(row), static_cast<Eigen::Index>(column));
    if (upright) {
      result.column_of_row[row] = column;
    } else {
      result.column_of_row[column] = row;
    }
  }
  return result;
}

}  // namespace fettle::mechanism
