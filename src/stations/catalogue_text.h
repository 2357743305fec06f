#pragma once

#include "stations/catalogue.h"

/// The parts of the catalogue that are written elsewhere than in catalogue.cpp.
namespace fettle::stations {

Station springs_text();
Station rockers_text();
Station piston_valve_text();
Station lash_text();

}  // namespace fettle::stations
