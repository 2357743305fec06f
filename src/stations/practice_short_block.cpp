#include <array>

#include <fmt/format.h>

#include "stations/practice.h"

namespace fettle::stations {
namespace {

using build::Practice;

constexpr double inch = 0.0254;
constexpr double cross_check = 0.0004;  ///< inches either way
constexpr double strip_check = 0.0005;

/// Least and greatest: inches, or parts of the bore for gaps.
struct Range {
  double least, greatest;
};

/// One row a kind of engine; common practice, no source.
struct ShortBlockRow {
  Practice practice;
  const char* name;
  Range main_oil, rod_oil, end_play, rod_side, piston;
  double bore_shape;  ///< taper and out of round at most
  Range top_gap, second_gap;
  double oil_gap;  ///< inches, at least
};
constexpr std::array rows{
    ShortBlockRow{Practice::street_pushrod,
                  "street pushrod",
                  {0.0018, 0.0028},
                  {0.0018, 0.0027},
                  {0.004, 0.008},
                  {0.010, 0.020},
                  {0.0015, 0.0030},
                  0.0010,
                  {0.0040, 0.0045},
                  {0.0045, 0.0055},
                  0.015},
    ShortBlockRow{Practice::performance_pushrod,
                  "performance pushrod",
                  {0.0025, 0.0032},
                  {0.0022, 0.0030},
                  {0.005, 0.010},
                  {0.014, 0.022},
                  {0.0035, 0.0050},
                  0.0005,
                  {0.0045, 0.0055},
                  {0.0050, 0.0060},
                  0.015},
    ShortBlockRow{Practice::twin_cam,
                  "twin cam",
                  {0.0008, 0.0018},
                  {0.0008, 0.0020},
                  {0.004, 0.010},
                  {0.006, 0.012},
                  {0.0010, 0.0025},
                  0.0005,
                  {0.0035, 0.0045},
                  {0.0045, 0.0060},
                  0.010},
    ShortBlockRow{Practice::vintage_solid,
                  "vintage, solid lifters",
                  {0.0010, 0.0030},
                  {0.0010, 0.0028},
                  {0.003, 0.008},
                  {0.005, 0.012},
                  {0.0015, 0.0025},
                  0.0015,
                  {0.003, 0.004},
                  {0.003, 0.004},
                  0.015},
};

const ShortBlockRow& row_of(const build::Build& build) {
  const Practice practice = build.engine.practice.value_or(Practice::street_pushrod);
  for (const ShortBlockRow& row : rows) {
    if (row.practice == practice) {
      return row;
    }
  }
  return rows.front();
}

std::string said(const ShortBlockRow& row) {
  return fmt::format("common practice, {}", row.name);
}

LimitInForce between(const Range& range, double unit, const std::string& source) {
  return {range.least * unit, range.greatest * unit, source};
}

std::optional<LimitInForce> bore_limit(const build::Build& build, const ShortBlockRow& row,
                                       const std::string& id) {
  if (id == "bore.piston_clearance") {
    return between(row.piston, inch, said(row));
  }
  if (id == "bore.taper" || id == "bore.out_of_round") {
    return LimitInForce{{}, row.bore_shape * inch, said(row)};
  }
  const double bore = build.engine.bore.si();
  for (const auto& [gap, range] :
       {std::pair{"bore.top_gap", row.top_gap}, {"bore.second_gap", row.second_gap}}) {
    if (id == gap) {
      return between(range, bore,
                     fmt::format("{}: {} to {} of the bore", said(row), range.least, range.greatest));
    }
  }
  if (id == "bore.oil_gap") {
    return LimitInForce{row.oil_gap * inch, {}, said(row)};
  }
  return std::nullopt;
}

}  // namespace

std::optional<LimitInForce> short_block_practice(const build::Build& build, const std::string& id) {
  const ShortBlockRow& row = row_of(build);
  if (id == "bottom_end.main_clearance") {
    return between(row.main_oil, inch, said(row));
  }
  if (id == "bottom_end.rod_clearance") {
    return between(row.rod_oil, inch, said(row));
  }
  if (id == "bottom_end.end_play") {
    return between(row.end_play, inch, said(row));
  }
  if (id == "bottom_end.rod_side") {
    return between(row.rod_side, inch, said(row));
  }
  if (id == "bottom_end.main_cross_check" || id == "bottom_end.rod_cross_check") {
    return LimitInForce{-cross_check * inch, cross_check * inch, "common practice: both ways agree"};
  }
  if (id == "bottom_end.main_strip_check" || id == "bottom_end.rod_strip_check") {
    return LimitInForce{-strip_check * inch, strip_check * inch, "common practice: strip and gauge agree"};
  }
  return bore_limit(build, row, id);
}

}  // namespace fettle::stations
