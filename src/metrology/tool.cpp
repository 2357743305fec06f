#include "metrology/tool.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <utility>

namespace fettle::metrology {
namespace {

void check_size(const std::optional<double>& size, const char* what, const Tool& tool) {
  if (size && (!(*size >= 0.0) || !std::isfinite(*size))) {
    throw std::invalid_argument("the " + std::string(what) + " of tool '" + tool.kind +
                                "' must be finite and not negative");
  }
}

std::optional<Component> repeatability(const Tool& tool, const Repeats& r) {
  const auto n = static_cast<double>(r.count);
  if (!r.standard_deviation) {
    return tool.noise ? std::optional(Component::student("repeatability", *tool.noise, tool.noise_dof))
                      : std::nullopt;
  }
  const double own_squares = (n - 1.0) * *r.standard_deviation * *r.standard_deviation;
  const double stated_dof = tool.noise ? tool.noise_dof : 0.0;
  const double stated_squares = tool.noise ? tool.noise_dof * *tool.noise * *tool.noise : 0.0;
  const double dof = stated_dof + n - 1.0;
  return Component::student("repeatability", std::sqrt((stated_squares + own_squares) / dof / n), dof);
}

}  // namespace

void check(const Tool& tool) {
  check_size(tool.resolution, "resolution", tool);
  check_size(tool.permissible_error, "permissible error", tool);
  check_size(tool.drift, "drift", tool);
  check_size(tool.parallax, "parallax", tool);
  check_size(tool.noise, "noise", tool);
  if (!(tool.noise_dof > 0.0)) {
    throw std::invalid_argument("the degrees of freedom of the noise of tool '" + tool.kind +
                                "' must be positive");
  }
  const bool needs_range = tool.error_form == ErrorForm::proportional && tool.permissible_error;
  if ((needs_range && !tool.range) || (tool.range && !(*tool.range > 0.0 && std::isfinite(*tool.range)))) {
    throw std::invalid_argument("tool '" + tool.kind + "' needs a positive range for its proportional error");
  }
}

Repeats repeats(std::span<const double> values) {
  if (values.empty() ||
      !std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); })) {
    throw std::invalid_argument("repeats need one or more finite values");
  }
  Repeats out;
  out.count = values.size();
  const auto n = static_cast<double>(values.size());
  const auto [least, greatest] = std::minmax_element(values.begin(), values.end());
  out.least = *least;
  out.greatest = *greatest;
  double sum = 0.0;
  for (const double v : values) {
    sum += v - values[0];
  }
  out.mean = values[0] + sum / n;
  if (values.size() > 1) {
    double squares = 0.0;
    for (const double v : values) {
      squares += (v - out.mean) * (v - out.mean);
    }
    out.standard_deviation = std::sqrt(squares / (n - 1.0));
  }
  return out;
}

Input reading_input(const Tool& tool, std::string label, std::span<const double> values) {
  check(tool);
  const Repeats statistics = repeats(values);
  Input input;
  input.label = std::move(label);
  input.estimate = statistics.mean;
  if (tool.resolution) {
    input.components.push_back(Component::resolution("resolution", *tool.resolution));
  }
  if (tool.parallax) {
    input.components.push_back(Component::rectangular_half_width("parallax", *tool.parallax));
  }
  if (auto component = repeatability(tool, statistics)) {
    input.components.push_back(std::move(*component));
  }
  return input;
}

double own_u(const Tool& tool) {
  const double anywhere = 0;
  return reading_input(tool, "", std::span(&anywhere, 1)).u();
}

std::vector<Input> bias_inputs(const Tool& tool, const std::string& label) {
  check(tool);
  if (!tool.permissible_error) {
    return {};
  }
  const double a = *tool.permissible_error;
  const auto input = [](std::string name, Component component) {
    Input out;
    out.label = std::move(name);
    out.components.push_back(std::move(component));
    return out;
  };
  switch (tool.error_form) {
    case ErrorForm::offset:
      return {input(label + ", zero", Component::rectangular_half_width("permissible error", a))};
    case ErrorForm::proportional:
      return {
          input(label + ", scale", Component::rectangular_half_width("permissible error", a / *tool.range))};
    case ErrorForm::once_a_turn:
      break;
  }
  return {input(label + ", once a turn, cosine", Component::triangular_half_width("permissible error", a)),
          input(label + ", once a turn, sine", Component::triangular_half_width("permissible error", a))};
}

double without_bias(const Tool& tool, double reading, std::span<const double> bias) {
  if (bias.empty()) {
    return reading;
  }
  if (bias.size() != (tool.error_form == ErrorForm::once_a_turn ? 2U : 1U)) {
    throw std::invalid_argument("the number of bias values does not fit tool '" + tool.kind + "'");
  }
  switch (tool.error_form) {
    case ErrorForm::offset:
      return reading - bias[0];
    case ErrorForm::proportional:
      return reading * (1.0 - bias[0]);
    case ErrorForm::once_a_turn:
      break;
  }
  return reading - (bias[0] * std::cos(reading) + bias[1] * std::sin(reading));
}

std::optional<Input> drift_input(const Tool& tool, std::string label) {
  check(tool);
  if (!tool.drift) {
    return std::nullopt;
  }
  Input input;
  input.label = std::move(label);
  input.components.push_back(Component::rectangular_half_width("drift", *tool.drift));
  return input;
}

}  // namespace fettle::metrology
