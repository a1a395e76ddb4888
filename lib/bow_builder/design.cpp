// Design: a draw of which only peak, let-off and speed are known (lib/README.md, "A bow from its sheet").
#include "bow_builder/design.hpp"

#include "bow_builder/moving_parts.hpp"
#include "bow_builder/passes.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

namespace nockwise::detail {

namespace {

/// ASTM F1544: 5 gr per lbf of the peak, which is 70 lbf at 30 in of draw.
constexpr double rating_peak = 311.3755130681700;  // [N]
constexpr double rating_draw = 0.762;              // [m]
constexpr double rating_arrow = 0.0226796185;      // [kg]
constexpr double rating_ratio = rating_arrow / rating_peak;

/// Virtual mass per heaviness, roughly: a secant's first slope [kg].
constexpr double mass_per_heaviness = 3.5e-3;
/// And of the lightest parts [kg].
constexpr double mass_of_lightest = 3.5e-3;
constexpr double lightest = 0.0;
constexpr double heaviest = 1.0;
constexpr double fullest = 1.2;
/// What a first guess of a virtual mass may be off by [kg].
constexpr double doubt = 7e-4;

/// Root of a falling speed's excess between a fast and a slow end: false position (Illinois).
double meet(const std::function<double(double)>& excess, double fast, double slow, double close) {
  double fast_excess = excess(fast);
  double slow_excess = excess(slow);
  double x = fast;
  for (int i = 0; i < 40; ++i) {
    x = fast + (slow - fast) * fast_excess / (fast_excess - slow_excess);
    const double e = excess(x);
    if (std::fabs(e) < close) {
      break;
    }
    if (e > 0.0) {
      fast = x;
      fast_excess = e;
      slow_excess *= 0.5;
    } else {
      slow = x;
      slow_excess = e;
      fast_excess *= 0.5;
    }
  }
  return x;
}

}  // namespace

double speed_asked(const BowMeasurements& m) {
  return m.rated_speed ? *m.rated_speed : m.chronograph ? m.chronograph->speed : 0.0;
}

SpeedUnmet::SpeedUnmet(const BowMeasurements& m, double nearest)
    : InputError(m.rated_speed ? "measurements.rated_speed" : "measurements.chronograph.speed",
                 display(speed_asked(m), Quantity::speed, "ft/s", 1),
                 nearest < speed_asked(m)
                     ? "must be at most about " + display(nearest, Quantity::speed, "ft/s", 0) +
                           ": with this peak, draw length, brace height and let-off a bow stores no more, and light "
                           "cams, limbs and string lose no less"
                     : "must be at least about " + display(nearest, Quantity::speed, "ft/s", 0) +
                           ": with this peak, draw length, brace height and let-off a bow stores no less, and heavy "
                           "cams, limbs and string lose no more; check the arrow's mass and the peak"),
      nearest_(nearest),
      too_fast_(nearest < speed_asked(m)) {}

std::optional<ChronographReading> BowBuilder::wanted_speed(const DrawCycle& cycle, double virtual_mass) const {
  if (m_.chronograph) {
    return m_.chronograph;
  }
  if (!m_.rated_speed) {
    return std::nullopt;
  }
  // The bow of the rating stores the same share of peak force times power stroke, and loses the same virtual mass.
  const double rated = 0.5 * (rating_arrow + virtual_mass) * *m_.rated_speed * *m_.rated_speed /
                       (rating_peak * (rating_draw - draw_length_allowance - m_.brace_height));
  const double arrow = rating_ratio * cycle.peak_force;
  const double energy = rated * cycle.peak_force * cycle.power_stroke;
  return ChronographReading{std::sqrt(2.0 * energy / (arrow + virtual_mass)), arrow};
}

double rated_speed(const DrawCycle& cycle, double virtual_mass) {
  const double share = cycle.stored_energy / (cycle.peak_force * cycle.power_stroke);
  const double energy = share * rating_peak * (rating_draw - draw_length_allowance - cycle.brace_height);
  return std::sqrt(2.0 * energy / (rating_arrow + virtual_mass));
}

double BowBuilder::improve_speed(Command& command, const DrawCycle& cycle) {
  if (!m_.chronograph && !m_.rated_speed) {
    return 0.0;
  }
  const double arrow = m_.chronograph ? m_.chronograph->arrow_mass : rating_ratio * cycle.peak_force;
  shoot_with(arrow, cycle);
  const ChronographReading wanted = *wanted_speed(cycle, virtual_mass_);
  const double off = speed_ / wanted.speed - 1.0;
  const double ratio = wanted.speed / speed_;
  // Fullness first: it is what makes one bow quicker than another of the same sheet.
  constexpr double nudge = 0.02;
  const auto energy_at = [&](double fullness) { return commanded_energy(command, fullness); };
  const double slope = (energy_at(command.fullness + nudge) - energy_at(command.fullness - nudge)) / (2.0 * nudge);
  const double aim = command.fullness + cycle.stored_energy * (ratio * ratio - 1.0) / slope;
  const double next = std::clamp(aim, 0.0, largest_fullness_);
  if (next != aim) {
    // What the curve cannot give, the masses must.
    const double energy = cycle.stored_energy + slope * (next - command.fullness);
    const double needed = 2.0 * energy / (wanted.speed * wanted.speed) - arrow;
    fast_ = needed < lightest_virtual_mass - doubt;
    reachable_ = std::sqrt(2.0 * energy / (arrow + lightest_virtual_mass)) / wanted.speed;
    const double heaviness = guesses_.heaviness + (needed - virtual_mass_) / mass_per_heaviness;
    const double before = guesses_.heaviness;
    guesses_.heaviness = std::clamp(heaviness, lightest, heaviest);
    set_moving_parts(setup_, guesses_.heaviness);
    if (guesses_.heaviness == before && next == command.fullness && std::fabs(off) > close_.speed) {
      fast_ = fast_ || off < 0.0;
      slow_ = off > 0.0;
    }
  }
  command.fullness = next;
  return std::fabs(off);
}

double BowBuilder::commanded_energy(const Command& command, double fullness) const {
  const DrawCurve curve =
      commanded_curve(m_, {fullness, command.holding / command.peak, guesses_.corners}, command.peak);
  return curve.energy(curve.wall());
}

double BowBuilder::fullness_for_speed(const Command& command) {
  const double arrow = m_.chronograph ? m_.chronograph->arrow_mass : rating_ratio * command.peak;
  const auto energy_at = [&](double fullness) { return commanded_energy(command, fullness); };
  DrawCycle wanted;
  wanted.peak_force = command.peak;
  wanted.power_stroke = m_.draw_length - draw_length_allowance - m_.brace_height;
  const auto needed = [&](double virtual_mass) {
    const double speed = wanted_speed(wanted, virtual_mass)->speed;
    return 0.5 * (arrow + virtual_mass) * speed * speed;
  };
  if (const double most = energy_at(fullest); most < needed(lightest_virtual_mass - doubt)) {
    throw SpeedUnmet(m_, std::sqrt(most / needed(lightest_virtual_mass)) * speed_asked(m_));
  }
  // What is quick has light parts: hardly any cams draw a fuller curve than that.
  constexpr double quite_full = 1.0;
  constexpr double quite_light = 0.15;
  const auto needed_with = [&](double heaviness) { return needed(mass_of_lightest + mass_per_heaviness * heaviness); };
  const double comfortable = energy_at(quite_full);
  constexpr double lighter = 0.02;
  while (guesses_.heaviness > quite_light && needed_with(guesses_.heaviness) > comfortable) {
    guesses_.heaviness = std::max(quite_light, guesses_.heaviness - lighter);
  }
  set_moving_parts(setup_, guesses_.heaviness);
  const double energy = needed_with(guesses_.heaviness);
  double low = 0.0;
  double high = fullest;
  for (int i = 0; i < 12; ++i) {
    const double middle = 0.5 * (low + high);
    (energy_at(middle) < energy ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double BowBuilder::improve(Command& command, const DrawCycle& cycle) {
  const double peak = *m_.peak_force;
  const double holding = peak * (1.0 - *m_.let_off);
  const double peak_off = std::fabs(cycle.peak_force / peak - 1.0);
  const double let_off_off = std::fabs(cycle.let_off - *m_.let_off);
  double off = std::max(peak_off / close_.peak, let_off_off / close_.let_off);
  // A speed is worth asking for once the draw is roughly right.
  constexpr double rough = 0.02;
  if (peak_off < rough && let_off_off < rough) {
    off = std::max(off, improve_speed(command, cycle) / close_.speed);
  } else if (m_.chronograph || m_.rated_speed) {
    off = std::max(off, 1e3);
  }
  command.peak *= std::clamp(peak / cycle.peak_force, 0.8, 1.25);
  command.holding = std::clamp(command.holding + holding - cycle.holding_force, 0.01 * peak, 0.6 * peak);
  return off;
}

void BowBuilder::command_draw(const Command& command) {
  command_ = commanded_curve(m_, {command.fullness, command.holding / command.peak, guesses_.corners}, command.peak);
  const double scale = command_.energy(command_.wall()) / limbs_hold_;
  limbs_hold_ *= scale;
  half_.stiffness *= scale;
  setup_.limbs.upper.torsion_stiffness *= scale;
  setup_.limbs.lower.torsion_stiffness *= scale;
  const double share = 0.05 * (command_.wall() - command_.brace());
  brace_tension_ = 0.25 * m_.axle_to_axle * command_.force(command_.brace() + share) / share;
}

void BowBuilder::shoot_with(double arrow, const DrawCycle& cycle) {
  shot_arrow_ = arrow;
  speed_ = speed_of(with_arrow_of(setup_, arrow));
  virtual_mass_ = 2.0 * cycle.stored_energy / (speed_ * speed_) - arrow;
}

void BowBuilder::fit_losses() {
  if (!m_.chronograph && !m_.rated_speed) {
    return;
  }
  setup_ = best_.setup;
  const DrawCycle cycle = best_.cycle;
  const double arrow = m_.chronograph ? m_.chronograph->arrow_mass : rating_ratio * cycle.peak_force;
  const auto excess = [&] {
    shoot_with(arrow, cycle);
    return speed_ / wanted_speed(cycle, virtual_mass_)->speed - 1.0;
  };
  const auto with_heaviness = [&](double heaviness) {
    guesses_.heaviness = heaviness;
    set_moving_masses(setup_, heaviness);
    return excess();
  };
  const auto with_damping = [&](double damping) {
    setup_.cams.upper.bearing_damping = damping;
    setup_.cams.lower.bearing_damping = damping;
    return excess();
  };
  constexpr double strongest_damping = 0.02;  // [N·m·s/rad]
  const double close = 0.3 * close_.speed;
  if (with_heaviness(lightest) < -close_.speed) {
    throw SpeedUnmet(m_, m_.rated_speed ? rated_speed(cycle, virtual_mass_) : speed_);
  }
  if (with_heaviness(heaviest) < 0.0) {
    (void)meet(with_heaviness, lightest, heaviest, close);
  } else if (with_damping(strongest_damping) < 0.0) {
    (void)meet(with_damping, 0.0, strongest_damping, close);
  } else if (excess() > close_.speed) {
    throw SpeedUnmet(m_, m_.rated_speed ? rated_speed(cycle, virtual_mass_) : speed_);
  }
  // The masses' weight moves the bow by hundredths of a millimetre.
  best_.cycle = settle(close_.length);
  (void)excess();
  best_.setup = setup_;
}

void BowBuilder::design() {
  constexpr double damping = 2e-3;  // of the fit
  // A groove that can be milled, on a cam of ordinary size.
  constexpr TrackLimits ordinary{0.003, 0.055};
  rule_ = {damping, ordinary};
  Command command{*m_.peak_force, *m_.peak_force * (1.0 - *m_.let_off), guesses_.fullness};
  constexpr double coarse = 1e-4;  // of lengths, until the draw is right [m]
  largest_fullness_ = fullest;
  Command good = command;
  if (speed_asked(m_) > 0.0) {
    command.fullness = fullness_for_speed(command);
    good.fullness = std::min(good.fullness, command.fullness);
  }
  for (; passes_ < close_.passes && !slow_ && !fast_; ++passes_) {
    DrawCycle cycle;
    try {
      command_draw(command);
      march_and_fit();
      cycle = placed_ ? settle(coarse) : approach(coarse);
    } catch (const Error&) {
      if (command.fullness <= good.fullness) {
        throw;
      }
      largest_fullness_ = 0.5 * (good.fullness + command.fullness);  // too full for such cams
      command = good;
      command.fullness = largest_fullness_;
      continue;
    }
    good = command;
    const Setup now = setup_;
    const double off = improve(command, cycle);
    if (off < best_.largest) {
      best_ = {now, cycle, off, speed_, virtual_mass_};
    }
    if (off < 1.0) {
      ++passes_;
      break;
    }
  }
  wanted_ = command_;
  if (slow_) {
    fit_losses();
    return;
  }
  speed_ = best_.speed;
  virtual_mass_ = best_.virtual_mass;
  constexpr double nearly = 0.01;
  if (const auto wanted = wanted_speed(best_.cycle, virtual_mass_); wanted && speed_ < (1.0 - nearly) * wanted->speed) {
    throw SpeedUnmet(m_, std::min(reachable_, 1.0 - nearly) * speed_asked(m_));
  }
  setup_ = best_.setup;
  best_.cycle = settle(close_.length);
  best_.setup = setup_;
}

}  // namespace nockwise::detail
