#pragma once

#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace fettle::metrology {

/// The second-order part of each output's variance (JCGM 100:2008, 5.1.2 note), for independent inputs with
/// symmetric distributions: sum over i, j of [ (d2f/dxi dxj)^2 / 2 + df/dxi d3f/dxi dxj^2 ] u_i^2 u_j^2, all
/// derivatives from central differences with steps of one standard uncertainty. `active` names the inputs. An
/// output is empty where an evaluation was not finite; the whole is empty where the number of outputs
/// changed.
std::vector<std::optional<double>> second_order_variance(
    const std::function<std::vector<double>(std::span<const double>)>& model,
    std::span<const double> estimates, std::span<const double> u, std::span<const std::size_t> active);

}  // namespace fettle::metrology
