#include "nockwise/caution.hpp"

namespace nockwise {

std::string_view name_of(CautionKind kind) noexcept {
  switch (kind) {
    case CautionKind::general:
      return "general";
    case CautionKind::bow_press:
      return "bow_press";
    case CautionKind::overdraw:
      return "overdraw";
    case CautionKind::limb_bolt:
      return "limb_bolt";
    case CautionKind::cam_lean:
      return "cam_lean";
    case CautionKind::rest_cord:
      return "rest_cord";
    case CautionKind::light_arrow:
      return "light_arrow";
    case CautionKind::short_arrow:
      return "short_arrow";
    case CautionKind::vane_strikes_rest:
      return "vane_strikes_rest";
    case CautionKind::cable_strike:
      return "cable_strike";
    case CautionKind::arrow_stays:
      return "arrow_stays";
    case CautionKind::impossible_result:
      return "impossible_result";
    case CautionKind::unmet_measurement:
      return "unmet_measurement";
  }
  return "";
}

}  // namespace nockwise
