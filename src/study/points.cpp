#include "study/points.h"

#include <algorithm>
#include <limits>
#include <stdexcept>

#include <boost/random/sobol.hpp>

#include "metrology/random.h"

namespace fettle::study {
namespace {

constexpr std::size_t most_coordinates = boost::random::default_sobol_table::max_dimension;

/// Trial under which the shifts of the sequence are drawn; no draw has that number.
constexpr std::uint64_t shift_trial = std::numeric_limits<std::uint64_t>::max();

/// 52 bits of a word as a number in (0, 1), the half exact.
double to_unit(std::uint64_t word) {
  return (static_cast<double>(word >> 12U) + 0.5) * 0x1p-52;
}

}  // namespace

struct Points::Sequence {
  explicit Sequence(std::size_t coordinates) : engine(coordinates), shifts(coordinates) {}
  boost::random::sobol engine;
  std::vector<std::uint64_t> shifts;
};

Points::Points(Drawing drawing, bool indices, std::uint64_t seed, std::vector<Law> laws)
    : drawing_(drawing),
      indices_(indices && drawing == Drawing::sobol),
      seed_(seed),
      laws_(std::move(laws)),
      unit_(laws_.size() * (indices_ ? 2 : 1)) {
  for (const Law& law : laws_) {
    if (law.kind == Law::Kind::values && law.values.empty()) {
      throw std::invalid_argument("a list of values is empty");
    }
  }
  if (drawing_ != Drawing::sobol || laws_.empty()) {
    return;
  }
  if (unit_.size() > most_coordinates) {
    throw std::invalid_argument("a Sobol sequence does not have that many coordinates");
  }
  sequence_ = std::make_unique<Sequence>(unit_.size());
  for (std::size_t i = 0; i < unit_.size(); ++i) {
    const auto words =
        metrology::philox({static_cast<std::uint32_t>(shift_trial),
                           static_cast<std::uint32_t>(shift_trial >> 32U), static_cast<std::uint32_t>(i), 0U},
                          {static_cast<std::uint32_t>(seed_), static_cast<std::uint32_t>(seed_ >> 32U)});
    sequence_->shifts[i] = (std::uint64_t{words[0]} << 32U) | words[1];
  }
}

Points::~Points() = default;
Points::Points(Points&&) noexcept = default;

void Points::unit_point(std::uint64_t point, std::span<double> unit) {
  if (drawing_ == Drawing::random) {
    for (std::size_t i = 0; i < unit.size(); ++i) {
      unit[i] = metrology::uniforms({seed_, point, static_cast<std::uint32_t>(i)})[0];
    }
    return;
  }
  sequence_->engine.seed(point);
  for (std::size_t i = 0; i < unit.size(); ++i) {
    unit[i] = to_unit(sequence_->engine() ^ sequence_->shifts[i]);
  }
}

void Points::at(std::uint64_t draw, std::span<double> values) {
  const std::size_t d = laws_.size();
  if (d == 0) {
    return;
  }
  if (drawing_ == Drawing::grid) {
    for (std::size_t i = d; i-- > 0;) {
      const auto& list = laws_[i].values;
      values[i] = list[draw % list.size()];
      draw /= list.size();
    }
    return;
  }
  const std::uint64_t set = indices_ ? d + 2 : 1;
  const auto member = static_cast<std::size_t>(draw % set);
  unit_point(draw / set, unit_);
  for (std::size_t i = 0; i < d; ++i) {
    const bool of_b = member == 1 || member == i + 2;
    values[i] = laws_[i].at(unit_[indices_ && of_b ? d + i : i]);
  }
}

std::uint64_t Points::grid_size(std::span<const Law> laws) {
  std::uint64_t size = 1;
  for (const Law& law : laws) {
    const std::uint64_t n = law.values.size();
    if (n == 0 || size > std::numeric_limits<std::uint64_t>::max() / n) {
      return 0;
    }
    size *= n;
  }
  return size;
}

}  // namespace fettle::study
