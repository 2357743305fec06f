#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

namespace fettle::metrology {

/// Symmetric matrix of order n >= 11 whose entry (i, j) is zero unless the cyclic distance of i and j is at
/// most 5. `column[j][k]` holds entry (j, (j + k) mod n).
struct CyclicBandMatrix {
  static constexpr std::size_t half_bandwidth = 5;
  using Column = std::array<double, half_bandwidth + 1>;
  std::vector<Column> column;

  std::size_t size() const { return column.size(); }
  /// Sum over all entries of this matrix times the other's, entry by entry (the trace of their product).
  double inner_product(const CyclicBandMatrix& other) const;
};

/// Cholesky factor L of a positive definite CyclicBandMatrix A = L L^T, with the last five unknowns as a
/// dense border, so that the fill stays in the band and the border. Work and storage grow with n, not n^3.
class CyclicBandCholesky {
 public:
  /// Empty factor of order zero.
  CyclicBandCholesky() = default;
  /// Nothing where the matrix is not positive definite to working precision.
  /// Throws std::invalid_argument for an order below 11.
  static std::optional<CyclicBandCholesky> factor(const CyclicBandMatrix& matrix);

  std::size_t size() const { return inner_size_ == 0 ? 0 : inner_size_ + border_size; }
  /// A^-1 b.
  Eigen::VectorXd solve(const Eigen::VectorXd& right_side) const;
  /// L^-1 b: the inner product of two such vectors is a^T A^-1 b.
  Eigen::VectorXd solve_lower(const Eigen::VectorXd& right_side) const;
  /// L^-T z: of covariance A^-1 when z holds independent standard normals.
  Eigen::VectorXd solve_upper(const Eigen::VectorXd& right_side) const;
  /// The entries of A^-1 inside the cyclic band, by the recursion of Takahashi (Erisman and Tinney, "On
  /// computing certain elements of the inverse of a sparse matrix", Comm. ACM 18, 1975; for splines
  /// Hutchinson and de Hoog, Numer. Math. 47, 1985).
  CyclicBandMatrix selected_inverse() const;

 private:
  static constexpr std::size_t border_size = CyclicBandMatrix::half_bandwidth;
  using Border = std::array<double, border_size>;

  std::size_t inner_size_ = 0;
  std::vector<CyclicBandMatrix::Column> band_;  ///< [j][k] = L(j + k, j) of the inner part, zero beyond it
  std::vector<Border> border_;                  ///< [j][b] = L(inner + b, j)
  std::array<Border, border_size> corner_{};    ///< [b][c] = L(inner + b, inner + c), lower triangle
};

}  // namespace fettle::metrology
