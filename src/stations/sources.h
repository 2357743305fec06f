#pragma once

#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "build/types.h"
#include "mechanism/lobe.h"
#include "mechanism/lobe_sweep.h"
#include "mechanism/phasing.h"
#include "mechanism/slider_crank.h"
#include "mechanism/true_tdc.h"
#include "metrology/tool.h"
#include "metrology/uncertainty.h"
#include "stations/inventory.h"
#include "stations/lift_basis.h"
#include "stations/lobe_slopes.h"
#include "stations/memory.h"

/// Where doubt comes from: every elementary input of a build, made once; stations then look at the readings
/// through Observed (observed.h) and hold no uncertainty of their own.
namespace fettle::stations {

/// The quantities of readings that are taken without a wheel.
enum class Amount {
  height,
  load,
  gap,
  offset,
  width,
  depth,
  turns,
  thickness,
  diameter,
  wall,
  temperature,

  volume,
  mass,
  pressure,
  torque,
  angle,
  size,
  below,
  nut_factor  ///< that stood between a torque and the preload
};

/// Figures of the maker's sheet that a tolerance may stand beside.
enum class SheetFigure { spring_rate, solid_height, wire_diameter };

/// What a swept lobe asks of its follower; each is an input of its own.
enum class FollowerFeature {
  opening_velocity,
  closing_velocity,
  least_radius,
  pressure_angle,

  nose_acceleration  ///< least d²L/dφ² over cam angle, m/rad²; where the train is to be run
};

/// Which reading, or which property of which tool, an input stands for.
struct Origin {
  std::optional<int> reading;
  std::string tool;
  std::string label;
};

/// A lobe sweep fitted and reduced once, over crank angle counted forward on the wheel from its first point
/// on, lifts as the indicator stood.
struct FittedSweep {
  std::shared_ptr<const ReducedSweep> reduced;
  std::vector<double> card_lifts;  ///< the reduction's check lifts as the card counts them, m
  LiftBasis basis;
  std::size_t first_mode = 0;                       ///< of reduced->block among the inputs
  std::optional<std::size_t> drift;                 ///< of the indicator's zero during the sweep
  std::map<FollowerFeature, std::size_t> follower;  ///< inputs; empty where the build names no follower
};

/// A sweep through TDC fitted once.
struct FittedTdc {
  mechanism::TdcFit fit;
  std::size_t input = 0;
};

class Sources {
 public:
  /// The build must have passed build::validate(). What `memory` holds of an earlier proof is used again;
  /// none: a memory of its own.
  explicit Sources(const build::Build& build, std::shared_ptr<Memory> memory = nullptr);

  const build::Build& build() const { return build_; }
  Memory& memory() const { return *memory_; }
  const Inventory& inventory() const { return inventory_; }
  const mechanism::SliderCrank& crank() const { return crank_; }
  const mechanism::CylinderPhases& phases() const { return phases_; }
  const std::vector<metrology::Input>& inputs() const { return inputs_; }
  const Origin& origin(std::size_t input) const { return origins_[input]; }
  /// Estimates of all inputs, in their order.
  const std::vector<double>& estimates() const { return estimates_; }

  std::optional<std::size_t> wheel_input(int reading) const { return find(wheel_inputs_, reading); }
  std::optional<std::size_t> lift_input(int reading) const { return find(lift_inputs_, reading); }
  std::optional<std::size_t> slack_input(int reading) const { return find(slack_inputs_, reading); }
  std::optional<std::size_t> amount_input(int reading, Amount amount) const;
  /// The polytropic exponent of cranking, where anything of the compression was read.
  std::optional<std::size_t> exponent_input() const { return exponent_input_; }
  /// What is assumed of the valve train, where the build asks for it at speed: by how many standard
  /// deviations a figure is off for it.
  std::optional<std::size_t> train_input() const { return train_input_; }
  /// The error of a figure of the maker's sheet; nothing where no tolerance is stated.
  std::optional<std::size_t> sheet_input(SheetFigure figure, build::Valve valve) const;
  const FittedSweep* sweep(int reading) const;
  const FittedTdc* tdc_sweep(int reading) const;

  /// The tool of a reading (its wheel, or its indicator) and the places of its shared errors among the
  /// inputs.
  struct ToolInUse {
    metrology::Tool tool;
    std::size_t first_bias = 0;
    std::size_t biases = 0;
    bool stated = true;  ///< false: no tool was named, and figures of common practice stand in
    /// What it was set to size on: that tool's errors are in its readings too, and so is how well the one
    /// setting came off.
    const ToolInUse* set_on = nullptr;
    std::optional<std::size_t> setting = std::nullopt;
  };
  const ToolInUse& wheel_of(int reading) const;
  /// What measured the lengths, or the load, of a reading taken without a wheel.
  const ToolInUse& gauge_of(int reading) const;
  const ToolInUse& tester_of(int reading) const;
  /// Standard uncertainty of one reading's part that is its own, rad or m; never zero, so that fits can weigh
  /// it.
  double wheel_u(int reading) const;
  double indicator_u(int reading) const;
  const ToolInUse& indicator_of(int reading) const;
  /// +1 where the wheel's numbers grow as the crank turns forward, else -1.
  double counting(const std::string& wheel) const;
  double counting(int reading) const { return counting_[static_cast<std::size_t>(reading)]; }
  /// Points of a lobe sweep with their doubt, crank counted forward from its first point through as many
  /// turns as made.
  std::vector<mechanism::SweepPoint> sweep_points(int reading) const;
  /// Slack of the cam's drive from a sweep taken backward: backward reading to input, rad.
  const std::map<int, std::size_t>& sweep_slacks() const { return sweep_slacks_; }
  /// Slopes of the card's lobe (or a usual one), for readings taken at single lifts.
  const LobeSlopes& slopes(build::Valve valve) const;

  /// What was assumed where the build is silent.
  const std::vector<std::string>& assumptions() const { return assumptions_; }

 private:
  using Places = std::map<int, std::size_t>;
  static std::optional<std::size_t> find(const Places& places, int reading);
  std::size_t add(metrology::Input input, Origin origin);
  ToolInUse& add_tool(std::map<std::string, ToolInUse>& tools, const std::string& name,
                      const metrology::Tool& tool, bool stated, const std::string& owner,
                      const std::string& error);
  void add_tools();
  void add_gauges();
  void set_tools_on_others();
  void add_amounts(int place);
  void add_part_amounts(int place);
  const ToolInUse* tester_for(const build::Reading& reading, std::vector<std::string>& unnamed);
  void add_exponent();
  void add_train();
  void add_slopes();
  /// How far the crank turns while the indicator shows no change at the top of a lobe.
  metrology::Component flat_nose(int place) const;
  void add_reading(int place);
  void fit_lobe_sweeps();
  FittedSweep fit_lobe_sweep(int place) const;
  void add_lobe_sweep(int place);
  void add_tdc_sweep(int place);
  void add_slack(const LobeReadings& readings);
  void add_sheet();
  void assume_sheet(const build::SpringSpec& spec, build::Valve valve);
  void add_follower(int place, FittedSweep& fitted);

  const build::Build& build_;
  std::shared_ptr<Memory> memory_;
  Inventory inventory_;
  mechanism::SliderCrank crank_;
  mechanism::CylinderPhases phases_;
  std::vector<metrology::Input> inputs_;
  std::vector<Origin> origins_;
  std::vector<double> estimates_;
  Places wheel_inputs_, lift_inputs_, slack_inputs_;
  std::map<std::pair<int, Amount>, std::size_t> amount_inputs_;
  std::map<std::pair<SheetFigure, build::Valve>, std::size_t> sheet_inputs_;
  std::optional<std::size_t> train_input_;
  std::map<Spot, std::size_t> part_temperatures_;
  std::map<int, FittedSweep> sweeps_;
  std::map<int, FittedTdc> tdc_sweeps_;
  Places sweep_slacks_;
  std::map<build::Valve, LobeSlopes> slopes_;
  std::map<std::string, ToolInUse> wheels_, indicators_, testers_;
  std::map<build::ReadingKind, std::map<std::string, ToolInUse>> usual_gauges_;
  std::map<quantity::Dimension, std::map<std::string, ToolInUse>> usual_testers_;
  std::optional<std::size_t> exponent_input_;
  // By reading, so that nothing is looked up by name while stations are evaluated.
  std::vector<const ToolInUse*> wheel_of_, indicator_of_, gauge_of_, tester_of_;
  std::vector<double> counting_;
  std::vector<std::string> assumptions_;
};

}  // namespace fettle::stations
