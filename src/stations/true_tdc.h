#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stations/group.h"
#include "stations/observed.h"

/// Station True TDC: wheel readings of stop contacts, drops and sweeps to the wheel's reading at true TDC.
namespace fettle::stations {

/// Crank angle counted forward on a wheel at which cylinder 1 stands at true TDC, rad, in [0, 2π): the mean
/// of all contacts, drops and sweeps of all cylinders on that wheel (of one pass, where one is given),
/// weighted by what the tools make of each. Nothing where that wheel has none.
std::optional<double> tdc_on_wheel(const Observed& observed, const std::string& wheel,
                                   std::optional<int> pass = std::nullopt);

/// tdc_on_wheel(), worked out once for all lobes that one evaluation looks at.
class TdcOfWheels {
 public:
  explicit TdcOfWheels(const Observed& observed) : observed_(observed) {}
  std::optional<double> operator()(const std::string& wheel);

 private:
  const Observed& observed_;
  std::vector<std::pair<std::string, std::optional<double>>> known_;
};

/// The wheel that most of the TDC readings were taken on.
std::optional<std::string> main_wheel(const Sources& sources);

/// First and last pass with TDC readings on a wheel.
struct Passes {
  int first = 1;
  int last = 1;
};
std::optional<Passes> tdc_passes(const Sources& sources, const std::string& wheel);

std::vector<Group> true_tdc_station(const Sources& sources);

/// What is not measured yet of what the station is for.
std::vector<Missing> true_tdc_missing(const Sources& sources);

}  // namespace fettle::stations
