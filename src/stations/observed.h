#pragma once

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "stations/sources.h"

namespace fettle::stations {

class AtEstimates;

/// Which inputs a calculation has looked at.
using Used = std::vector<bool>;

/// The features of one swept lobe, lifts as the card counts them and angles of crank counted forward on the
/// wheel, with the tools' shared errors taken off.
struct SweptLobe {
  struct Crossing {
    double lift = 0;  ///< check lift, m
    double opening = 0;
    double closing = 0;
  };
  std::vector<Crossing> crossings;
  double top = 0;
  double max_lift = 0;
};

/// A correction not made yet, as it would act on the readings.
struct WhatIf {
  double cam_advance = 0;  ///< crank rad by which every valve event comes earlier than it was read
  /// The same of the exhaust cam, where that one is moved by itself.
  std::optional<double> exhaust_advance = std::nullopt;
  double advance(build::Valve valve) const {
    return valve == build::Valve::exhaust ? exhaust_advance.value_or(cam_advance) : cam_advance;
  }
  /// The build with its parts as they would be, the readings untouched: stations take parts from
  /// Observed::build(), so that a part changed here is changed for all of them. Readings taken with another
  /// part in place than the one fitted say so themselves. Null: the parts as they are.
  std::shared_ptr<const build::Build> parts = nullptr;
};

/// The readings of a build as they are when every elementary input has a given value. Stations are functions
/// of this alone; at the estimates it gives the readings as they were taken.
class Observed {
 public:
  /// `values` holds one value an input, as Sources::inputs(); `used`, where given, is marked as inputs are
  /// looked at.
  Observed(const Sources& sources, std::span<const double> values, Used* used = nullptr,
           const WhatIf& what_if = {})
      : sources_(sources), values_(values), used_(used), what_if_(what_if) {}

  /// The same, told which inputs are not at their estimates and where what does not look at them stands
  /// already.
  Observed(const Sources& sources, std::span<const double> values, const AtEstimates& at_estimates,
           std::span<const std::size_t> moved)
      : sources_(sources), values_(values), at_estimates_(&at_estimates), moved_(moved) {}

  /// Null: everything is to be worked out.
  const AtEstimates* at_estimates() const { return at_estimates_; }
  std::span<const std::size_t> moved() const { return moved_; }

  const WhatIf& what_if() const { return what_if_; }
  /// The same readings without the correction.
  Observed as_read() const { return {sources_, values_, used_}; }

  const Sources& sources() const { return sources_; }
  /// Parts as they are, or as they would be.
  const build::Build& build() const { return what_if_.parts ? *what_if_.parts : sources_.build(); }
  const build::Reading& reading(int place) const {
    return sources_.build().readings[static_cast<std::size_t>(place)];
  }

  /// Crank angle counted forward on the wheel, rad, not wrapped: the mean of the reading and its repeats.
  double turned(int reading) const;
  /// Mean of several such angles, each taken on the turn of the first.
  double mean_turned(const std::vector<int>& readings) const;
  /// The lift, drop or drop from the top that a reading was taken at, m.
  double lift(int reading) const;
  /// A height, load, gap, offset, width, depth (SI) or number of turns of a reading taken without a wheel.
  double amount(int reading, Amount amount) const;
  /// By how much a figure of the maker's sheet is off, SI: nothing at the estimates.
  double sheet_error(SheetFigure figure, build::Valve valve) const;
  /// Slack read directly, rad.
  double slack(int reading) const;
  /// Crank angle counted forward on the wheel at its cylinder's TDC, from a sweep through TDC.
  double swept_tdc(int reading) const;
  SweptLobe lobe(int reading) const;
  /// Its greatest lift alone, m, as the card counts it; asks for nothing else that was swept.
  double swept_max_lift(int reading) const;
  /// The value of one input of the sources.
  double input(std::size_t input) const { return value(input); }

 private:
  double value(std::size_t input) const;
  /// Values of a tool's shared errors; at most two (metrology::bias_inputs).
  std::array<double, 2> biases(const Sources::ToolInUse& tool) const;
  double without_bias(const Sources::ToolInUse& tool, double reading) const;
  double without_wheel_error(int reading, double wheel) const;
  const FittedSweep& fitted_sweep(int reading) const;
  double feature(const FittedSweep& fitted, Eigen::Index feature) const;
  /// What the indicator shows too much at every lift of a sweep, m.
  double excess_lift(int reading, const FittedSweep& fitted) const;

  const Sources& sources_;
  std::span<const double> values_;
  Used* used_ = nullptr;
  WhatIf what_if_ = {};
  const AtEstimates* at_estimates_ = nullptr;
  std::span<const std::size_t> moved_ = {};
};

}  // namespace fettle::stations
