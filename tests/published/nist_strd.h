#pragma once

#include <array>

/// Certified data of the NIST Statistical Reference Datasets (StRD), Information Technology Laboratory,
/// National Institute of Standards and Technology, https://www.itl.nist.gov/div898/strd: data and certified
/// values as printed in the .dat files named beside each. A work of the United States government, free of
/// copyright there.
namespace fettle::published {

/// Norris.dat (linear, lower difficulty): J. Norris, calibration of ozone monitors. Columns y, x; y = B0 + B1
/// x.
namespace norris {
inline constexpr std::array<std::array<double, 2>, 36> data = {
    {{0.1, 0.2},     {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1},    {228.1, 226.5},
     {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
     {0.1, 0.6},     {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
     {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
     {0.6, 0.3},     {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
     {10.2, 11.1},   {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}}};
inline constexpr double b0 = -0.262323073774029, u_b0 = 0.232818234301152;
inline constexpr double b1 = 1.00211681802045, u_b1 = 0.429796848199937e-3;
inline constexpr double residual_deviation = 0.884796396144373;
}  // namespace norris

/// NoInt1.dat (linear through the origin, average): x = 60..70, y = 130..140.
namespace no_intercept {
inline constexpr double b1 = 2.07438016528926, u_b1 = 0.165289256198347e-1;
inline constexpr double residual_deviation = 3.56753034006338;
}  // namespace no_intercept

/// Longley.dat (linear, higher difficulty): J. W. Longley, J. Am. Statist. Assoc. 62 (1967). Columns y,
/// x1..x6; with intercept.
namespace longley {
inline constexpr std::array<std::array<double, 7>, 16> data = {
    {{60323, 83.0, 234289, 2356, 1590, 107608, 1947},
     {61122, 88.5, 259426, 2325, 1456, 108632, 1948},
     {60171, 88.2, 258054, 3682, 1616, 109773, 1949},
     {61187, 89.5, 284599, 3351, 1650, 110929, 1950},
     {63221, 96.2, 328975, 2099, 3099, 112075, 1951},
     {63639, 98.1, 346999, 1932, 3594, 113270, 1952},
     {64989, 99.0, 365385, 1870, 3547, 115094, 1953},
     {63761, 100.0, 363112, 3578, 3350, 116219, 1954},
     {66019, 101.2, 397469, 2904, 3048, 117388, 1955},
     {67857, 104.6, 419180, 2822, 2857, 118734, 1956},
     {68169, 108.4, 442769, 2936, 2798, 120445, 1957},
     {66513, 110.8, 444546, 4681, 2637, 121950, 1958},
     {68655, 112.6, 482704, 3813, 2552, 123366, 1959},
     {69564, 114.2, 502601, 3931, 2514, 125368, 1960},
     {69331, 115.7, 518173, 4806, 2572, 127852, 1961},
     {70551, 116.9, 554894, 4007, 2827, 130081, 1962}}};
inline constexpr std::array<double, 7> parameters = {
    -3482258.63459582, 15.0618722713733,      -0.358191792925910e-1, -2.02022980381683,
    -1.03322686717359, -0.511041056535807e-1, 1829.15146461355};
inline constexpr std::array<double, 7> u = {890420.383607373,  84.9149257747669,  0.334910077722432e-1,
                                            0.488399681651699, 0.214274163161675, 0.226073200069370,
                                            455.478499142212};
inline constexpr double residual_deviation = 304.854073561965;
}  // namespace longley

/// Misra1a.dat (nonlinear, lower): D. Misra (1978), dental research, monomolecular adsorption. Columns y, x;
/// y = b1 (1 - exp(-b2 x)).
namespace misra1a {
inline constexpr std::array<std::array<double, 2>, 14> data = {{{10.07, 77.6},
                                                                {14.73, 114.9},
                                                                {17.94, 141.1},
                                                                {23.93, 190.8},
                                                                {29.61, 239.9},
                                                                {35.18, 289.0},
                                                                {40.02, 332.8},
                                                                {44.82, 378.4},
                                                                {50.76, 434.8},
                                                                {55.05, 477.3},
                                                                {61.01, 536.8},
                                                                {66.40, 593.1},
                                                                {75.47, 689.1},
                                                                {81.78, 760.0}}};
inline constexpr std::array<double, 2> start_1 = {500.0, 0.0001}, start_2 = {250.0, 0.0005};
inline constexpr std::array<double, 2> parameters = {2.3894212918e2, 5.5015643181e-4};
inline constexpr std::array<double, 2> u = {2.7070075241, 7.2668688436e-6};
inline constexpr double residual_squares = 1.2455138894e-1;
}  // namespace misra1a

/// Eckerle4.dat (nonlinear, higher): K. Eckerle, circular interference transmittance. Columns y, x;
/// y = b1 / b2 exp(-((x - b3) / b2)^2 / 2).
namespace eckerle4 {
inline constexpr std::array<std::array<double, 2>, 35> data = {
    {{0.0001575, 400.0}, {0.0001699, 405.0}, {0.0002350, 410.0}, {0.0003102, 415.0}, {0.0004917, 420.0},
     {0.0008710, 425.0}, {0.0017418, 430.0}, {0.0046400, 435.0}, {0.0065895, 436.5}, {0.0097302, 438.0},
     {0.0149002, 439.5}, {0.0237310, 441.0}, {0.0401683, 442.5}, {0.0712559, 444.0}, {0.1264458, 445.5},
     {0.2073413, 447.0}, {0.2902366, 448.5}, {0.3445623, 450.0}, {0.3698049, 451.5}, {0.3668534, 453.0},
     {0.3106727, 454.5}, {0.2078154, 456.0}, {0.1164354, 457.5}, {0.0616764, 459.0}, {0.0337200, 460.5},
     {0.0194023, 462.0}, {0.0117831, 463.5}, {0.0074357, 465.0}, {0.0022732, 470.0}, {0.0008800, 475.0},
     {0.0004579, 480.0}, {0.0002345, 485.0}, {0.0001586, 490.0}, {0.0001143, 495.0}, {0.0000710, 500.0}}};
inline constexpr std::array<double, 3> start_1 = {1.0, 10.0, 500.0}, start_2 = {1.5, 5.0, 450.0};
inline constexpr std::array<double, 3> parameters = {1.5543827178, 4.0888321754, 4.5154121844e2};
inline constexpr std::array<double, 3> u = {1.5408051163e-2, 4.6803020753e-2, 4.6800518816e-2};
inline constexpr double residual_squares = 1.4635887487e-3;
}  // namespace eckerle4

}  // namespace fettle::published
