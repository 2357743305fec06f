#pragma once

#include "stations/catalogue.h"

/// The parts of the catalogue that are written elsewhere than in catalogue.cpp.
namespace fettle::stations {

/// Stands at the end of every station's cautions.
inline constexpr std::string_view makers_sheet =
    "Follow the maker's sheet and local codes. These figures do not replace them.";

Station springs_text();
Station rockers_text();
Station valve_train_text();
Station piston_valve_text();
Station lash_text();
Station followers_text();

Station fasteners_text();
Station balance_text();
Station deck_text();
Station compression_text();

Station bores_text();
Station bottom_end_text();

}  // namespace fettle::stations
