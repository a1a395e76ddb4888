#pragma once

/// @file
/// The one list of units. Ratios are exact where a double can hold both numbers (below 2^53, or a power of ten up to
/// 10^22); tests/lib/base/units_test.cpp checks them against the definitions: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1
/// gr = 64.79891 mg, g0 = 9.80665 m/s².

#include "nockwise/units.hpp"

#include <array>
#include <numbers>

namespace nockwise::unit_table {

using std::numbers::pi;

inline constexpr bool with_fractions = true;
inline constexpr std::string_view inches = "inch inches ins \" ″ ” ''";

inline constexpr std::array dimensionless{Unit{""}};

inline constexpr std::array percent{Unit{"fraction"}, Unit{"%", 1.0, 100.0, "percent"}};

inline constexpr std::array length{
    Unit{"m", 1.0, 1.0, "metre metres meter meters"},
    Unit{"cm", 1.0, 1e2},
    Unit{"mm", 1.0, 1e3},
    Unit{"µm", 1.0, 1e6},
    Unit{"in", 127.0, 5e3, inches, with_fractions},
    Unit{"ft", 381.0, 1250.0, "foot feet ' ′ ’"},
    Unit{"yd", 1143.0, 1250.0, "yds yard yards"},
};

inline constexpr std::array mass{
    Unit{"kg"},
    Unit{"g", 1.0, 1e3, "gram grams"},
    Unit{"mg", 1.0, 1e6},
    Unit{"gr", 6479891.0, 1e11, "grs grain grains"},
    Unit{"oz", 45359237.0, 16e8, "ounce ounces"},
    Unit{"lb", 45359237.0, 1e8, "lbs pound pounds"},
};

inline constexpr std::array force{
    Unit{"N"},
    Unit{"kN", 1e3},
    Unit{"lbf", 44482216152605.0, 1e13, "lbsf lb lbs # pound pounds"},
};

inline constexpr std::array angle{
    Unit{"rad"},
    Unit{"mrad", 1.0, 1e3},
    Unit{"deg", pi, 180.0, "° degs degree degrees"},
};

inline constexpr std::array time{
    Unit{"s"},
    Unit{"ms", 1.0, 1e3},
    Unit{"µs", 1.0, 1e6},
};

inline constexpr std::array frequency{
    Unit{"Hz", 1.0, 1.0, "1/s"},
    Unit{"kHz", 1e3},
};

inline constexpr std::array speed{
    Unit{"m/s"},
    Unit{"km/h", 5.0, 18.0},
    Unit{"ft/s", 381.0, 1250.0, "fps"},
};

inline constexpr std::array angular_speed{
    Unit{"rad/s"},
    Unit{"deg/s", pi, 180.0, "°/s"},
    Unit{"rpm", pi, 30.0},
};

inline constexpr std::array acceleration{
    Unit{"m/s²"},
    Unit{"ft/s²", 381.0, 1250.0},
    Unit{"g", 980665.0, 1e5},
};

inline constexpr std::array stiffness{
    Unit{"N/m"},
    Unit{"N/mm", 1e3},
    Unit{"kN/m", 1e3},
    Unit{"lbf/in", 222411080763025.0, 127e10, "lb/in lbs/in"},
};

inline constexpr std::array torsion_stiffness{
    Unit{"N·m/rad"},
    Unit{"N·m/deg", 180.0, pi},
    Unit{"lbf·in/rad", 1129848290276167.0, 1e16, "in·lbf/rad lb·in/rad in·lb/rad"},
    Unit{"lbf·in/deg", 0.1129848290276167 * 180.0, pi, "in·lbf/deg lb·in/deg in·lb/deg"},
};

inline constexpr std::array compliance{
    Unit{"rad/(N·m)"},
    Unit{"mrad/(N·m)", 1.0, 1e3},
    Unit{"deg/(N·m)", pi, 180.0},
    Unit{"deg/(lbf·in)", pi, 0.1129848290276167 * 180.0, "deg/(in·lbf)"},
};

inline constexpr std::array damping{
    Unit{"N·s/m"},
    Unit{"lbf·s/in", 222411080763025.0, 127e10},
};

inline constexpr std::array torsion_damping{
    Unit{"N·m·s/rad", 1.0, 1.0, "N·m·s"},
    Unit{"lbf·in·s/rad", 1129848290276167.0, 1e16, "in·lbf·s/rad"},
};

inline constexpr std::array inertia{
    Unit{"kg·m²"},
    Unit{"kg·cm²", 1.0, 1e4},
    Unit{"kg·mm²", 1.0, 1e6},
    Unit{"g·cm²", 1.0, 1e7},
    Unit{"g·mm²", 1.0, 1e9},
    Unit{"gr·in²", 418056647756.0, 1e19},
    Unit{"lb·in²", 2926396534292.0, 1e16},
};

inline constexpr std::array density{
    Unit{"kg/m³"},
    Unit{"g/cm³", 1e3},
    Unit{"lb/in³", 56699046250.0, 2048383.0},
};

inline constexpr std::array linear_density{
    Unit{"kg/m"},
    Unit{"g/m", 1.0, 1e3},
    Unit{"gr/in", 32399455.0, 127e8, "gpi grain/in grains/in"},
};

inline constexpr std::array bending_stiffness{
    Unit{"N·m²"},
    Unit{"lbf·in²", 2.86981465730146418e-3, 1.0},
};

inline constexpr std::array torque{
    Unit{"N·m"},
    Unit{"N·mm", 1.0, 1e3},
    Unit{"lbf·in", 1129848290276167.0, 1e16, "in·lbf lb·in lbs·in in·lb in·lbs"},
    Unit{"lbf·ft", 3389544870828501.0, 25e14, "ft·lbf lb·ft lbs·ft ft·lb ft·lbs"},
};

inline constexpr std::array energy{
    Unit{"J"},
    Unit{"mJ", 1.0, 1e3},
    Unit{"ft·lbf", 3389544870828501.0, 25e14, "lbf·ft ft·lb ft·lbs"},
};

inline constexpr std::array spine{
    Unit{"m"},
    Unit{"mm", 1.0, 1e3},
    Unit{"in", 127.0, 5e3, inches},
    Unit{"spine", 127.0, 5e6},
};

inline constexpr std::array turns{Unit{"turn", 1.0, 1.0, "turns", with_fractions}};

inline constexpr std::array twists{Unit{"twist", 1.0, 1.0, "twists", with_fractions}};

}  // namespace nockwise::unit_table
