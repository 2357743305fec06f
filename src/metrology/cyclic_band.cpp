#include "metrology/cyclic_band.h"

#include <cmath>
#include <stdexcept>

namespace fettle::metrology {
namespace {

constexpr std::size_t width = CyclicBandMatrix::half_bandwidth;
using Block = std::array<std::array<double, width>, width>;

/// A pivot below this share of its diagonal entry has lost all its digits to cancellation.
constexpr double least_pivot_share = 4e-16;

/// Cholesky of the dense corner in place; false where it is not positive definite.
bool factor_corner(Block& corner) {
  for (std::size_t j = 0; j < width; ++j) {
    const double diagonal = corner[j][j];
    double pivot = diagonal;
    for (std::size_t k = 0; k < j; ++k) {
      pivot -= corner[j][k] * corner[j][k];
    }
    if (!(pivot > least_pivot_share * diagonal) || !std::isfinite(pivot)) {
      return false;
    }
    corner[j][j] = std::sqrt(pivot);
    for (std::size_t i = j + 1; i < width; ++i) {
      double sum = corner[i][j];
      for (std::size_t k = 0; k < j; ++k) {
        sum -= corner[i][k] * corner[j][k];
      }
      corner[i][j] = sum / corner[j][j];
    }
  }
  return true;
}

/// Inverse of L L^T for the dense corner.
Block invert_corner(const Block& lower) {
  Block inverse_lower{};
  for (std::size_t j = 0; j < width; ++j) {
    for (std::size_t i = j; i < width; ++i) {
      double sum = i == j ? 1.0 : 0.0;
      for (std::size_t k = j; k < i; ++k) {
        sum -= lower[i][k] * inverse_lower[k][j];
      }
      inverse_lower[i][j] = sum / lower[i][i];
    }
  }
  Block inverse{};
  for (std::size_t i = 0; i < width; ++i) {
    for (std::size_t j = 0; j < width; ++j) {
      for (std::size_t k = std::max(i, j); k < width; ++k) {
        inverse[i][j] += inverse_lower[k][i] * inverse_lower[k][j];
      }
    }
  }
  return inverse;
}

/// Moves the window of the inverse one unknown down: the new unknown comes first, the last drops out.
void slide(Block& inner, Block& cross, const std::array<double, width>& new_inner,
           const std::array<double, width>& new_cross, double new_diagonal) {
  for (std::size_t r = width - 1; r > 0; --r) {
    for (std::size_t c = width - 1; c > 0; --c) {
      inner[r][c] = inner[r - 1][c - 1];
    }
    cross[r] = cross[r - 1];
  }
  inner[0][0] = new_diagonal;
  for (std::size_t k = 1; k < width; ++k) {
    inner[0][k] = new_inner[k - 1];
    inner[k][0] = new_inner[k - 1];
  }
  cross[0] = new_cross;
}

}  // namespace

double CyclicBandMatrix::inner_product(const CyclicBandMatrix& other) const {
  double diagonal = 0.0;
  double beside = 0.0;
  for (std::size_t j = 0; j < column.size(); ++j) {
    diagonal += column[j][0] * other.column[j][0];
    for (std::size_t k = 1; k <= half_bandwidth; ++k) {
      beside += column[j][k] * other.column[j][k];
    }
  }
  return diagonal + 2.0 * beside;
}

std::optional<CyclicBandCholesky> CyclicBandCholesky::factor(const CyclicBandMatrix& matrix) {
  const std::size_t n = matrix.size();
  if (n < 2 * width + 1) {
    throw std::invalid_argument("a cyclic band matrix of half-bandwidth 5 needs an order of at least 11");
  }
  CyclicBandCholesky result;
  const std::size_t inner = n - width;
  result.inner_size_ = inner;
  // Columns beyond the inner part stay zero, so that the update below needs no bounds.
  result.band_.assign(inner + width, CyclicBandMatrix::Column{});
  result.border_.assign(inner + width, Border{});
  Block corner{};
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t k = 0; k <= width; ++k) {
      const std::size_t i = (j + k) % n;
      const double entry = matrix.column[j][k];
      if (i < inner && j < inner) {
        result.band_[j][k] = entry;
      } else if (j < inner) {
        result.border_[j][i - inner] = entry;
      } else if (i < inner) {
        result.border_[i][j - inner] = entry;
      } else {
        corner[std::max(i, j) - inner][std::min(i, j) - inner] = entry;
      }
    }
  }
  for (std::size_t j = 0; j < inner; ++j) {
    auto& band = result.band_[j];
    auto& border = result.border_[j];
    const double pivot = band[0];
    if (!(pivot > least_pivot_share * matrix.column[j][0]) || !std::isfinite(pivot)) {
      return std::nullopt;
    }
    const double root = std::sqrt(pivot);
    const double inverse_root = 1.0 / root;
    band[0] = root;
    for (std::size_t k = 1; k <= width; ++k) {
      band[k] *= inverse_root;
    }
    for (std::size_t b = 0; b < width; ++b) {
      border[b] *= inverse_root;
    }
    for (std::size_t k = 1; k <= width; ++k) {
      auto& next_band = result.band_[j + k];
      auto& next_border = result.border_[j + k];
      for (std::size_t q = 0; q + k <= width; ++q) {
        next_band[q] -= band[k] * band[k + q];
      }
      for (std::size_t b = 0; b < width; ++b) {
        next_border[b] -= band[k] * border[b];
      }
    }
    for (std::size_t b = 0; b < width; ++b) {
      for (std::size_t c = 0; c <= b; ++c) {
        corner[b][c] -= border[b] * border[c];
      }
    }
  }
  if (!factor_corner(corner)) {
    return std::nullopt;
  }
  result.corner_ = corner;
  return result;
}

Eigen::VectorXd CyclicBandCholesky::solve_lower(const Eigen::VectorXd& right_side) const {
  if (static_cast<std::size_t>(right_side.size()) != size()) {
    throw std::invalid_argument("right-hand side and factor differ in size");
  }
  Eigen::VectorXd out = right_side;
  double* x = out.data();
  double* edge = x + inner_size_;
  for (std::size_t j = 0; j < inner_size_; ++j) {
    x[j] /= band_[j][0];
    const std::size_t reach = std::min(width, inner_size_ - 1 - j);
    for (std::size_t k = 1; k <= reach; ++k) {
      x[j + k] -= band_[j][k] * x[j];
    }
    for (std::size_t b = 0; b < width; ++b) {
      edge[b] -= border_[j][b] * x[j];
    }
  }
  for (std::size_t b = 0; b < width; ++b) {
    for (std::size_t c = 0; c < b; ++c) {
      edge[b] -= corner_[b][c] * edge[c];
    }
    edge[b] /= corner_[b][b];
  }
  return out;
}

Eigen::VectorXd CyclicBandCholesky::solve_upper(const Eigen::VectorXd& right_side) const {
  if (static_cast<std::size_t>(right_side.size()) != size()) {
    throw std::invalid_argument("right-hand side and factor differ in size");
  }
  Eigen::VectorXd out = right_side;
  double* x = out.data();
  double* edge = x + inner_size_;
  for (std::size_t b = width; b-- > 0;) {
    for (std::size_t c = b + 1; c < width; ++c) {
      edge[b] -= corner_[c][b] * edge[c];
    }
    edge[b] /= corner_[b][b];
  }
  for (std::size_t j = inner_size_; j-- > 0;) {
    double sum = x[j];
    const std::size_t reach = std::min(width, inner_size_ - 1 - j);
    for (std::size_t k = 1; k <= reach; ++k) {
      sum -= band_[j][k] * x[j + k];
    }
    for (std::size_t b = 0; b < width; ++b) {
      sum -= border_[j][b] * edge[b];
    }
    x[j] = sum / band_[j][0];
  }
  return out;
}

Eigen::VectorXd CyclicBandCholesky::solve(const Eigen::VectorXd& right_side) const {
  return solve_upper(solve_lower(right_side));
}

CyclicBandMatrix CyclicBandCholesky::selected_inverse() const {
  const std::size_t n = size();
  CyclicBandMatrix inverse;
  inverse.column.assign(n, CyclicBandMatrix::Column{});
  const Block corner = invert_corner(corner_);
  for (std::size_t b = 0; b < width; ++b) {
    for (std::size_t c = b; c < width; ++c) {
      inverse.column[inner_size_ + b][c - b] = corner[b][c];
    }
  }
  // The window holds the inverse over the five unknowns above the present one and the border.
  Block inner{};
  Block cross{};
  for (std::size_t j = inner_size_; j-- > 0;) {
    const double inverse_root = 1.0 / band_[j][0];
    std::array<double, width> l_inner{};
    std::array<double, width> l_border{};
    for (std::size_t k = 0; k < width; ++k) {
      l_inner[k] = band_[j][k + 1] * inverse_root;
      l_border[k] = border_[j][k] * inverse_root;
    }
    std::array<double, width> z_inner{};
    std::array<double, width> z_border{};
    double diagonal = inverse_root * inverse_root;
    for (std::size_t k = 0; k < width; ++k) {
      for (std::size_t i = 0; i < width; ++i) {
        z_inner[i] -= l_inner[k] * inner[k][i];
        z_border[i] -= l_inner[k] * cross[k][i] + l_border[k] * corner[k][i];
      }
    }
    for (std::size_t i = 0; i < width; ++i) {
      double sum = 0.0;
      for (std::size_t k = 0; k < width; ++k) {
        sum += l_border[k] * cross[i][k];
      }
      z_inner[i] -= sum;
    }
    for (std::size_t k = 0; k < width; ++k) {
      diagonal -= l_inner[k] * z_inner[k] + l_border[k] * z_border[k];
    }
    inverse.column[j][0] = diagonal;
    for (std::size_t k = 1; k <= width; ++k) {
      const std::size_t i = j + k;
      inverse.column[j][k] = i < inner_size_ ? z_inner[k - 1] : z_border[i - inner_size_];
    }
    for (std::size_t b = 0; b < width; ++b) {
      const std::size_t i = inner_size_ + b;
      if (n - i + j <= width) {  // the cyclic neighbour over the seam: entry (i, j) with j = i + k - n
        inverse.column[i][n - i + j] = z_border[b];
      }
    }
    slide(inner, cross, z_inner, z_border, diagonal);
  }
  return inverse;
}

}  // namespace fettle::metrology
