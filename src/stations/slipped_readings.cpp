#include "stations/slipped_readings.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fettle::stations {
namespace {

constexpr double inch = 0.0254;

struct KnownSlip {
  double size;  ///< m
  const char* what;
};
constexpr std::array known_slips{
    KnownSlip{0.025 * inch, "one turn of the thimble (0.025 in)"},
    KnownSlip{0.0005, "one turn of the thimble (0.5 mm)"},
    KnownSlip{0.100 * inch, "0.100 in, as a caliper is misread"},
};

double middle_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

std::vector<Slip> slips_from(double middle, const std::vector<int>& readings,
                             const std::vector<double>& values) {
  constexpr double near = 0.002 * inch;
  std::vector<Slip> found;
  for (const KnownSlip& known : known_slips) {
    for (const double sign : {1.0, -1.0}) {
      Slip slip{{}, sign * known.size, known.what};
      for (std::size_t i = 0; i < values.size(); ++i) {
        if (std::abs(values[i] - middle - slip.slip) < near) {
          slip.readings.push_back(readings[i]);
        }
      }
      if (!slip.readings.empty()) {
        found.push_back(std::move(slip));
      }
    }
  }
  return found;
}

}  // namespace

std::vector<Slip> slips(const Observed& observed, const std::vector<int>& readings,
                        const std::optional<double>& expected) {
  constexpr std::size_t fewest = 3;
  std::vector<double> values;
  for (const int place : readings) {
    values.push_back(observed.amount(place, Amount::diameter));
  }
  std::vector<Slip> found;
  if (values.size() >= fewest) {
    found = slips_from(middle_of(values), readings, values);
  }
  if (found.empty() && expected) {
    found = slips_from(*expected, readings, values);
  }
  return found;
}

bool slipped(const std::vector<Slip>& slips, const std::vector<int>& readings) {
  return std::any_of(slips.begin(), slips.end(), [&](const Slip& slip) {
    return std::any_of(slip.readings.begin(), slip.readings.end(), [&](int place) {
      return std::find(readings.begin(), readings.end(), place) != readings.end();
    });
  });
}

}  // namespace fettle::stations
