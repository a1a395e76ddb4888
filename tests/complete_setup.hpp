/// @file
/// Setup files that give all that is required and little more, for tests.
#pragma once

#include <string>

namespace nockwise {

inline const std::string round_cams = R"([cams.both]
mass = "100 g"
inertia = "1.5 kg·cm²"
string_anchor_angle = "0 deg"
take_up_anchor_angle = "180 deg"
string_track = { kind = "circle", radius = "33 mm", eccentricity = "16 mm", angle = "20 deg" }
take_up_track = { kind = "circle", radius = "20 mm" }
stop = { kind = "cable", angle = "150 deg" }
)";

/// `head` stands in front of all tables, `cams` for their tables, `more` behind everything.
inline std::string complete_setup(const std::string& head = "", const std::string& cams = round_cams,
                                  const std::string& more = "") {
  return "format = 1\n" + head + R"([limbs.both]
pivot_x = "30 mm"
pivot_y = "280 mm"
effective_length = "10 in"
torsion_stiffness = "250 N·m/rad"
free_angle = "0.2 rad"
bolt_turns = "2 turns"
effective_mass = "60 g"
)" + cams +
         R"([string]
length = "59 in"
nocking_point = "0 mm"
[cables.both]
end = "yoke"
length = "35 in"
axial_rigidity = "180 kN"
[arrow]
length = "28.5 in"
linear_density = "8 gr/in"
spine = "340 spine"
point_mass = "100 gr"
fletching.count = 4
[rest]
kind = "limb_driven"
position_x = "30 mm"
height = "36 mm"
center_shot = "0 mm"
[rest.arm]
up_angle = "50 deg"
down_angle = "-20 deg"
cord_lever = "12 mm"
cord_attachment = "110 mm"
cord_slack = "-1 mm"
cord_side = "lower"
)" + more;
}

}  // namespace nockwise
