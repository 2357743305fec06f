#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <vector>

#include "metrology/uncertainty.h"
#include "stations/group.h"
#include "stations/sources.h"
#include "study/plan.h"
#include "study/points.h"

namespace fettle::study {

/// Works out draws of a plan, one after the other; one for each thread. The build is not read or checked
/// again for a draw: its numbers are set in place in a copy, and the stations look at them there.
class Evaluator {
 public:
  enum class Fits { as_planned, kept, anew };

  /// The plan must outlive it. `cancel`, set by the caller, ends a pull early.
  explicit Evaluator(const Plan& plan, const std::atomic<bool>* cancel = nullptr,
                     Fits fits = Fits::as_planned);

  /// Numbers, then results of a draw into `row`, Plan::width() in all, SI. A result that cannot be had is
  /// NaN.
  void evaluate(std::uint64_t draw, std::span<double> row);
  /// The same for given numbers; readings as of that draw.
  void evaluate_at(std::span<const double> numbers, std::uint64_t draw, std::span<double> results);

 private:
  struct Setter {
    std::function<void(double)> read_on;  ///< in the build that the readings were taken on; may be empty
    std::function<void(double)> parts;    ///< in the build as it is now; may be empty
    bool intake_cam = false, exhaust_cam = false;  ///< moves a cam
  };
  struct DrawnComponent {
    std::size_t input = 0;
    metrology::Component component;
  };

  void make_setters();
  void take_sources();
  void set(std::span<const double> numbers);
  void draw_readings(std::uint64_t draw);
  void run_stations(std::span<double> results);
  void run_pull(std::span<double> results);

  const Plan& plan_;
  const std::atomic<bool>* cancel_;
  bool fit_anew_;
  Points points_;
  build::Build read_on_;
  std::shared_ptr<build::Build> parts_;  ///< null: the same
  std::vector<Setter> setters_;
  std::unique_ptr<stations::Sources> sources_;
  std::vector<stations::Group> groups_;  ///< as Plan::groups
  std::vector<DrawnComponent> drawn_;
  std::vector<double> inputs_;
  stations::WhatIf what_if_;
};

}  // namespace fettle::study
