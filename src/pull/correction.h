#pragma once

#include "pull/pull.h"

namespace fettle::pull {

/// Factors on measured brake power of naturally aspirated spark-ignition engines. Dry pressure Pa,
/// temperature K.
///
/// SAE J1349: 1.180 (990 mbar/pd) sqrt((t + 273)/298) - 0.18, with t in Celsius; takes the mechanical
/// efficiency as 85 %. From memory.
double sae_j1349(double dry_pressure, double temperature);
/// ISO 1585: (99 kPa/pd)^1.2 (T/298)^0.6. From memory. The standard accepts 0.93 to 1.07.
double iso_1585(double dry_pressure, double temperature);

}  // namespace fettle::pull
