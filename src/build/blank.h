#pragma once

namespace fettle::build {

/// A value to read into, or to take the shape of; quantities have no default of their own.
template <class T>
T blank() {
  if constexpr (requires { T::from_si(0.0); }) {
    return T::from_si(0.0);
  } else {
    return T{};
  }
}

}  // namespace fettle::build
