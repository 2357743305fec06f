#include "stations/diameters.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "quantity/angle.h"

namespace fettle::stations {
namespace {

constexpr double degree = quantity::radians_per_degree;

bool same_place(const std::optional<double>& a, const std::optional<double>& b) {
  constexpr double apart = 0.001;  // m
  return a && b ? std::abs(*a - *b) < apart : a.has_value() == b.has_value();
}

/// A diameter is the same seen from the other side.
bool same_direction(const std::optional<double>& a, const std::optional<double>& b) {
  constexpr double apart = 5 * degree;
  return a && b ? std::abs(std::remainder(*a - *b, std::numbers::pi)) < apart
                : a.has_value() == b.has_value();
}

/// Means by place and direction; which there are depends on where was read, not on what was read.
struct Cell {
  std::optional<double> along, around;
  double sum = 0;
  int count = 0;
  double mean() const { return sum / count; }
};

std::vector<Cell> cells_of(const std::vector<DiameterAt>& points) {
  std::vector<Cell> cells;
  for (const DiameterAt& point : points) {
    auto cell = std::find_if(cells.begin(), cells.end(), [&](const Cell& one) {
      return same_place(one.along, point.along) && same_direction(one.around, point.around);
    });
    if (cell == cells.end()) {
      cell = cells.insert(cells.end(), Cell{point.along, point.around});
    }
    cell->sum += point.diameter;
    ++cell->count;
  }
  return cells;
}

/// Cells of one place together.
std::vector<std::vector<Cell>> by_place(const std::vector<DiameterAt>& points) {
  std::vector<std::vector<Cell>> places;
  for (const Cell& cell : cells_of(points)) {
    const auto place = std::find_if(places.begin(), places.end(), [&](const auto& cells) {
      return same_place(cells.front().along, cell.along);
    });
    if (place == places.end()) {
      places.push_back({cell});
    } else {
      place->push_back(cell);
    }
  }
  return places;
}

const Cell* in_direction(const std::vector<Cell>& place, const std::optional<double>& around) {
  const auto found = std::find_if(place.begin(), place.end(),
                                  [&](const Cell& cell) { return same_direction(cell.around, around); });
  return found == place.end() ? nullptr : &*found;
}

}  // namespace

std::vector<DiameterAt> diameters(const Observed& observed, const std::vector<int>& readings) {
  std::vector<DiameterAt> points;
  for (const int place : readings) {
    const build::Reading& reading = observed.reading(place);
    points.push_back({observed.amount(place, Amount::diameter),
                      reading.along ? std::optional(reading.along->si()) : std::nullopt,
                      reading.around ? std::optional(reading.around->si()) : std::nullopt});
  }
  return points;
}

std::optional<double> mean_diameter(const std::vector<DiameterAt>& points) {
  if (points.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const DiameterAt& point : points) {
    sum += point.diameter;
  }
  return sum / static_cast<double>(points.size());
}

std::optional<double> least_diameter(const std::vector<DiameterAt>& points) {
  std::optional<double> least;
  for (const DiameterAt& point : points) {
    least = std::min(least.value_or(point.diameter), point.diameter);
  }
  return least;
}

std::optional<double> vertical_diameter(const std::vector<DiameterAt>& points) {
  constexpr double near = 15 * degree;
  std::vector<DiameterAt> vertical;
  for (const DiameterAt& point : points) {
    if (!point.around || std::abs(std::remainder(*point.around, std::numbers::pi)) <= near) {
      vertical.push_back(point);
    }
  }
  return mean_diameter(vertical);
}

std::optional<double> taper(const std::vector<DiameterAt>& points) {
  const auto places = by_place(points);
  if (places.size() < 2) {
    return std::nullopt;
  }
  std::vector<double> means(places.size(), 0);
  int directions = 0;
  for (const Cell& direction : places.front()) {
    const bool everywhere = std::all_of(places.begin(), places.end(), [&](const auto& place) {
      return in_direction(place, direction.around) != nullptr;
    });
    if (everywhere) {
      ++directions;
      for (std::size_t i = 0; i < places.size(); ++i) {
        means[i] += in_direction(places[i], direction.around)->mean();
      }
    }
  }
  if (directions == 0) {
    return std::nullopt;
  }
  const auto [least, greatest] = std::minmax_element(means.begin(), means.end());
  return (*greatest - *least) / directions;
}

std::optional<double> out_of_round(const std::vector<DiameterAt>& points) {
  std::optional<double> worst;
  for (const auto& place : by_place(points)) {
    if (place.size() < 2) {
      continue;
    }
    const auto smaller = [](const Cell& a, const Cell& b) { return a.mean() < b.mean(); };
    const auto [least, greatest] = std::minmax_element(place.begin(), place.end(), smaller);
    const double ovality = greatest->mean() - least->mean();
    worst = std::max(worst.value_or(ovality), ovality);
  }
  return worst;
}

}  // namespace fettle::stations
