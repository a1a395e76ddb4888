/// @file
/// A bow fitted to cams of one's own.
///
/// The plan of the module. Who draws a cam has its grooves, and a bow to put it on: limbs, riser, the lengths that
/// shall come out. What is open are the lines, where they are tied to the cams, and the draw stops. From cams to a bow:
///
/// 1. Brace. Limbs and axle-to-axle length say how far the limbs are bent, the cams' levers how the tensions divide:
///    that gives string and cables a first length, and Newton's method on the elastic bow the right ones, with both
///    cams at one angle, `CamAims::cam_angle`. Zero is as they are drawn.
/// 2. Brace height. With the axles in place the string stands where its groove puts it: the cams turn until it stands
///    right, which an eccentric groove allows and a concentric one does not, or the limb pockets move (`BraceRule`).
/// 3. Anchors. A post must stand behind all that the draw unwinds; one that does not is moved, and the line's length
///    with it.
/// 4. Draw. The bow is drawn to the draw length with its stops out of the way, and each peg is put where it touches
///    there. Where a peak is asked for, the limbs' stiffness is scaled until it comes out, and again from 1.
/// 5. `CamFit` says what was asked, what came out on a draw board, and every parameter that was moved.
///
/// What no lengths can do is refused, with how far it can be had. The half that shoots is left as it is: rest, arrow,
/// hand; look at the rest's timing after a large change.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"
#include "nockwise/track.hpp"

#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Grooves of a cam; what is not given stays as the setup has it.
struct CamTracks {
  std::optional<Track> string_track;   ///< lets the string out
  std::optional<Track> take_up_track;  ///< takes the cam's own cable up
  std::optional<Track> let_out_track;  ///< lets the other cam's cable out, where that cable ends with let_out
  bool operator==(const CamTracks&) const = default;
};

/// What is moved for the brace height, once the lines have the axles in place.
enum class BraceRule {
  turn_cams,    ///< the cams stand turned at brace, both alike, by their lines alone
  move_pockets  ///< the cams stand as drawn; the limb pockets move along the shooting axis
};

/// What shall come out; what is not given is as the setup has it before, on a draw board.
struct CamAims {
  std::optional<double> axle_to_axle;  ///< at brace [m], 0.4 to 1.6
  std::optional<double> brace_height;  ///< grip pivot to string [m], 0.08 to 0.35
  std::optional<double> draw_length;   ///< the trade's, where both stops touch: grip pivot to nock plus 1 3/4 in [m],
                                       ///< 0.45 to 1
  std::optional<double> peak_force;    ///< [N], 20 to 700; none: the limbs keep their stiffness
  std::optional<double> nock_height;   ///< nocking point above the grip pivot at brace [m], −0.15 to 0.15
  double cam_angle = 0.0;              ///< how far both cams shall stand turned from as drawn, at brace, −0.6 to 0.6
                                       ///< [rad]; where they turn for the brace height, from here and as little as
                                       ///< will do
  BraceRule brace_by = BraceRule::turn_cams;
  bool operator==(const CamAims&) const = default;
};

/// Checks every range.
/// @throws InputError with the name of the first aim that is out of its range
void check_aims(const CamAims& aims);

/// A parameter that was moved.
struct MovedParameter {
  std::string path;
  double before = 0.0;  ///< [SI]
  double after = 0.0;   ///< [SI]
  bool operator==(const MovedParameter&) const = default;
};

/// A bow with these cams.
struct CamFit {
  Setup setup;
  std::vector<MeasurementCheck> checks;  ///< axle_to_axle, brace_height, draw_length, late_stop_gap, and peak_force
                                         ///< where it was asked for
  std::vector<MovedParameter> moved;     ///< in the order of the parameters
  UpperLower<double> brace_cam_angle;    ///< how far the cams stand turned from as drawn, at brace [rad]
  double peak_force = 0.0;               ///< [N]
  double let_off = 0.0;                  ///< (peak − holding) / peak [fraction]
  double stored_energy = 0.0;            ///< brace to the touch of the stops [J]
  std::vector<Caution> cautions;
  bool operator==(const CamFit&) const = default;
};

/// Put cams on a bow, and solve lines, anchors and stops so that brace, axle-to-axle length and draw length come out.
///
/// Lengths come out within 0.01 mm, a brace height that cams are turned for within 0.1 mm, both stops touch together
/// within 0.02 mm, a peak within 0.02 %; tracks, limbs' geometry, masses, rest and arrow stay.
/// @throws InputError for an aim out of range, for a track (`cams.upper.string_track`), and, with how far it can be
/// had, for a brace height that no turn of the cams gives (`brace_height`) and a stop that cannot reach what it shall
/// touch
/// (`cams.upper.stop.radius`)
/// @throws SolverError where the bow with these cams has no brace, or cannot be drawn so far, because a groove ends or
/// the let-off goes on until the string would be slack: where and why, and how far it can be drawn
[[nodiscard]] CamFit fit_to_cam(const Setup& setup, const CamTracks& upper, const CamTracks& lower,
                                const CamAims& aims = {});
/// The same with both cams alike.
/// @throws InputError, SolverError as above
[[nodiscard]] CamFit fit_to_cam(const Setup& setup, const CamTracks& both, const CamAims& aims = {});
/// On the bow of a sheet (build_bow): its lengths and its peak come out, its let-off and energy are the cams'. Limb
/// pockets and stiffness are guesses of the builder, and are moved.
/// @throws InputError, SolverError as above and as build_bow()
[[nodiscard]] CamFit fit_to_cam(const BowMeasurements& sheet, const CamTracks& both);

}  // namespace nockwise
