#include "quantity/dimension.h"

#include <stdexcept>

namespace fettle::quantity {
namespace {

struct Names {
  std::string_view with_article;
  std::size_t article_length;
  std::string_view si;
};

Names names_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::length:
      return {"a length", 2, "m"};
    case Dimension::angle:
      return {"an angle", 3, "rad"};
    case Dimension::force:
      return {"a force", 2, "N"};
    case Dimension::rate:
      return {"a spring rate", 2, "N/m"};
    case Dimension::pressure:
      return {"a pressure", 2, "Pa"};
    case Dimension::volume:
      return {"a volume", 2, "m3"};
    case Dimension::mass:
      return {"a mass", 2, "kg"};
    case Dimension::temperature:
      return {"a temperature", 2, "K"};
    case Dimension::temperature_difference:
      return {"a temperature difference", 2, "K"};
    case Dimension::torque:
      return {"a torque", 2, "N m"};
    case Dimension::time:
      return {"a time", 2, "s"};
    case Dimension::speed:
      return {"a shaft speed", 2, "rad/s"};
    case Dimension::velocity:
      return {"a velocity", 2, "m/s"};
    case Dimension::area:
      return {"an area", 3, "m2"};
    case Dimension::flow:
      return {"a flow", 2, "m3/s"};
    case Dimension::power:
      return {"a power", 2, "W"};
    case Dimension::ratio:
      return {"a ratio", 2, "1"};
    case Dimension::viscosity:
      return {"a viscosity", 2, "Pa s"};
  }
  throw std::invalid_argument("names_of: not a dimension");
}

}  // namespace

std::string_view name(Dimension dimension) {
  const Names names = names_of(dimension);
  return names.with_article.substr(names.article_length);
}

std::string_view name_with_article(Dimension dimension) {
  return names_of(dimension).with_article;
}

std::string_view si_unit(Dimension dimension) {
  return names_of(dimension).si;
}

Dimension difference_of(Dimension dimension) {
  return dimension == Dimension::temperature ? Dimension::temperature_difference : dimension;
}

}  // namespace fettle::quantity
