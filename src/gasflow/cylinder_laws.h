#pragma once

namespace fettle::gasflow {

/// Burned part of the charge when `part` of the burn's duration is over: 1 - exp(-a part^(m + 1)) (Wiebe;
/// Heywood, *Internal Combustion Engine Fundamentals*, eq. 9.39); zero before, and what it has reached at the
/// end stays.
double wiebe(double part, double a = 5.0, double m = 2.0);

/// Woschni's coefficient as first printed (SAE 670931), W/(m2 K): 130 B^-0.2 p^0.8 T^-0.53 w^0.8 with p in
/// bar. Bore m, pressure Pa, mean gas temperature K, gas speed w m/s. Constants from memory.
double woschni(double bore, double pressure, double temperature, double speed);
/// The same as Heywood gives it (eq. 12.19): 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8, p in kPa. 14 % apart at 2000 K.
double woschni_heywood(double bore, double pressure, double temperature, double speed);
/// Hohenberg's (SAE 790825): 130 V^-0.06 p^0.8 T^-0.4 (Sp + 1.4)^0.8, V in m3, p in bar, mean piston speed
/// m/s. From memory.
double hohenberg(double volume, double pressure, double temperature, double piston_speed);

/// Woschni's gas speed: 6.18 Sp while gas is exchanged, 2.28 Sp while closed, plus 3.24e-3 Vd Tr/(pr Vr) (p -
/// pm) burning.
struct WoschniReference {
  double pressure = 0.0;     ///< pr, Pa, where the intake closed
  double volume = 0.0;       ///< Vr, m3
  double temperature = 0.0;  ///< Tr, K
};
double woschni_speed(double piston_speed, bool exchanging, double swept_volume,
                     const WoschniReference& reference, double pressure, double motored_pressure);

/// Delay of self-ignition, s: 17.68 (ON/100)^3.402 p^-1.7 exp(3800/T) ms, p in atm (Douaud and Eyzat, SAE
/// 780080). Knock where Livengood and Wu's integral of dt/delay reaches one before the flame is there.
/// Pressure Pa, temperature K of the unburned gas, both > 0.
double knock_delay(double pressure, double temperature, double octane_number);

/// Friction mean effective pressure a + b pmax + c Sp + d Sp² (Chen and Flynn, SAE 650733), Pa.
struct ChenFlynn {
  double constant = 0.4e5;       ///< a, Pa
  double per_pressure = 0.005;   ///< b
  double per_speed = 0.09e5;     ///< c, Pa s/m
  double per_speed2 = 0.0009e5;  ///< d, Pa s2/m2
  double fmep(double peak_pressure, double piston_speed) const;
};

/// Motored friction of spark-ignition engines, Pa: 0.97 + 0.15 (N/1000) + 0.05 (N/1000)² bar (Heywood,
/// section 13.5), with the pumping of a motored engine in it. rad/s.
double motored_fmep(double speed);

/// Geometric opening under a valve: the curtain π D L, at most the disc of the throat, m2 (Heywood,
/// section 6.3).
double valve_opening(double lift, double head_diameter, double throat_diameter, double stem_diameter);

}  // namespace fettle::gasflow
