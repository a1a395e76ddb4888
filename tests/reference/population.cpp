#include "reference/population.hpp"

#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/model.hpp"
#include "shots/batch.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <iomanip>
#include <random>
#include <sstream>
#include <thread>

namespace nockwise {

namespace {

constexpr double inch = 0.0254;
constexpr double grain = 64.79891e-6;  // [kg]
constexpr double pound = 4.4482216152605;

/// Draws numbers; each call takes the next.
class Draws {
 public:
  explicit Draws(std::uint64_t seed) : random_(seed) {}
  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random_); }
  /// Evenly in the logarithm, from value/most to value·most.
  double about(double value, double most) { return value * std::exp(between(-std::log(most), std::log(most))); }
  std::size_t one_of(std::size_t count) { return std::uniform_int_distribution<std::size_t>(0, count - 1)(random_); }

 private:
  std::mt19937_64 random_;
};

BowMeasurements measurements(Draws& draw) {
  BowMeasurements m;
  m.axle_to_axle = draw.between(28.0, 40.0) * inch;
  m.brace_height = draw.between(5.8, 8.0) * inch;
  m.draw_length = draw.between(26.5, 31.0) * inch;
  m.peak_force = draw.between(40.0, 75.0) * pound;
  m.let_off = draw.between(0.55, 0.85);
  m.cabling = draw.one_of(2) == 0 ? Cabling::yoke : Cabling::crossed;
  m.center_above_grip = draw.between(0.005, 0.035);
  m.limb.effective_length = draw.between(0.26, 0.33);
  m.limb.brace_angle = draw.between(0.45, 0.75);
  m.limb.travel = draw.between(0.18, 0.28);
  m.cam.string_radius = draw.between(0.044, 0.058);
  m.cam.string_eccentricity = draw.between(0.010, 0.022);
  m.cam.let_out_radius = draw.between(0.015, 0.025);
  return m;
}

void draw_bow_parts(Draws& draw, Setup& s) {
  s.riser.mass = draw.about(s.riser.mass, 1.4);
  s.riser.center_of_mass_x = draw.between(0.0, 0.06);
  s.riser.center_of_mass_y = draw.between(-0.03, 0.03);
  s.riser.pitch_inertia = draw.about(s.riser.pitch_inertia, 1.6);
  s.riser.yaw_inertia = draw.about(s.riser.yaw_inertia, 1.8);
  s.riser.roll_inertia = draw.about(s.riser.roll_inertia, 1.6);
  s.grip.pressure_point_y = draw.between(-0.015, 0.015);
  const double hand = draw.about(1.0, 2.0);
  for (double* each : {&s.grip.stiffness_x, &s.grip.stiffness_y, &s.grip.stiffness_z, &s.grip.pitch_stiffness,
                       &s.grip.yaw_stiffness, &s.grip.roll_stiffness, &s.grip.damping_x, &s.grip.damping_y,
                       &s.grip.damping_z, &s.grip.pitch_damping, &s.grip.yaw_damping, &s.grip.roll_damping}) {
    *each *= hand * draw.about(1.0, 1.4);
  }
  const double cam_mass = draw.about(0.085, 1.4);
  const double cam_inertia = draw.about(1.0e-4, 1.6);
  const double limb_mass = draw.about(0.045, 1.4);
  const double twist = draw.about(150.0, 1.8);
  for (int h = 0; h < 2; ++h) {
    Cam& cam = s.cams[h];
    cam.mass = cam_mass;
    cam.inertia = cam_inertia;
    Limb& limb = s.limbs[h];
    limb.bolt_turns = 2.0;
    limb.effective_mass = limb_mass;
    limb.damping = 0.03;
    limb.twist_stiffness = twist;
    s.cables[h].damping = 8.0;
  }
  s.string.damping = 4.0;
  s.string.mass = draw.about(s.string.mass, 1.25);
  s.string.serving_and_loop_mass = draw.about(s.string.serving_and_loop_mass, 1.4);
  s.cable_guard.offset = draw.between(0.02, 0.04);
  s.hold.wall_pull = 0.0008;
}

void draw_arrow(Draws& draw, double draw_length, Setup& s) {
  s.arrow.length = draw_length - 1.75 * inch + draw.between(1.0, 3.0) * inch;
  s.arrow.linear_density = draw.between(6.0, 11.0) * grain / inch;
  s.arrow.diameter = draw.between(0.0052, 0.0075);
  s.set("arrow.spine", draw.between(0.26, 0.46) * inch);
  s.arrow.point_mass = draw.between(80.0, 160.0) * grain;
  s.arrow.insert_mass = draw.between(10.0, 40.0) * grain;
  s.arrow.fletching.length = draw.between(0.035, 0.075);
  s.arrow.fletching.height = draw.between(0.008, 0.0125);
}

/// Sets the cord so that the arm comes fully up `before` the wall [m]; false where it cannot.
bool time_rest(Setup& s, double before) {
  const bool limb = s.rest.kind == RestKind::limb_driven;
  double tight = -0.05;
  double loose = 0.05;
  for (int i = 0; i < 14; ++i) {
    s.rest.arm.cord_slack = 0.5 * (tight + loose);
    const DrawCycle cycle = draw_cycle(Model(s), {.positions = 40});
    const double now = cycle.rest_up_nock_x ? *cycle.rest_up_nock_x - cycle.points[cycle.touch_index].nock_x : 0.0;
    // A limb's cord lets go sooner in the draw the longer it is, a cable's lifts later.
    ((now < before) == limb ? tight : loose) = s.rest.arm.cord_slack;
  }
  const DrawCycle cycle = draw_cycle(Model(s), {.positions = 40});
  return cycle.rest_up_nock_x &&
         std::fabs(*cycle.rest_up_nock_x - cycle.points[cycle.touch_index].nock_x - before) < 0.003;
}

/// Whether there is such a rest.
bool draw_rest(Draws& draw, Setup& s) {
  static constexpr RestKind kinds[] = {RestKind::blade, RestKind::capture, RestKind::limb_driven,
                                       RestKind::cable_driven};
  s.rest.kind = kinds[draw.one_of(4)];
  s.rest.position_x = draw.between(-0.01, 0.03);
  s.rest.vertical_stiffness = draw.about(4000.0, 2.0);
  s.rest.lateral_stiffness = draw.about(2000.0, 2.0);
  s.rest.arm.inertia = draw.about(0.9e-5, 1.5);
  s.rest.arm.spring_torque = draw.about(0.12, 1.5);
  s.string.nocking_point = draw.between(-0.004, 0.004);
  const double offset = draw.between(0.0, 0.003);  // the rest stands so much below square
  s.rest.height = Model(s).brace().nock_height - offset;
  s.rest.center_shot = draw.between(-0.001, 0.001);
  const double limb_before = draw.between(1.0, 6.0) * inch;
  const double cable_before = draw.between(0.2, 2.0) * inch;
  if (s.rest.kind == RestKind::limb_driven) {
    s.rest.arm.cord_attachment = draw.between(0.6, 0.85) * s.limbs.lower.effective_length;
    return time_rest(s, limb_before);
  }
  if (s.rest.kind == RestKind::cable_driven) {
    s.rest.arm.cord_attachment = draw.between(0.22, 0.34);
    return time_rest(s, cable_before);
  }
  return true;
}

const char* word(RestKind kind) {
  return kind == RestKind::blade         ? "blade"
         : kind == RestKind::capture     ? "capture"
         : kind == RestKind::limb_driven ? "limb_driven"
                                         : "cable_driven";
}

}  // namespace

std::optional<PopulationBow> population_bow(std::uint64_t seed) {
  Draws draw(seed);
  const BowMeasurements measured = measurements(draw);
  Setup base;
  draw_bow_parts(draw, base);
  draw_arrow(draw, measured.draw_length, base);
  try {
    PopulationBow bow{seed, build_bow(measured, base).setup, "", ""};
    if (!draw_rest(draw, bow.setup)) {
      return {};
    }
    bow.layout = measured.cabling == Cabling::yoke ? "yokes" : "slaved";
    bow.rest = word(bow.setup.rest.kind);
    const detail::ShotRequest request{.setup = bow.setup};
    const Shot shot = detail::shoot_many({&request, 1}, {1}).front();
    const bool reportable =
        shot.flew && std::fabs(shot.value[Output::tear_up]) < inch && std::fabs(shot.value[Output::tear_right]) < inch;
    const bool warned = std::any_of(shot.cautions.begin(), shot.cautions.end(), [](const Caution& each) {
      return each.kind == CautionKind::light_arrow || each.kind == CautionKind::rest_cord ||
             each.kind == CautionKind::cable_strike || each.kind == CautionKind::impossible_result;
    });
    return reportable && !warned ? std::optional(bow) : std::nullopt;
  } catch (const Error&) {
    return {};  // no such bow
  }
}

std::vector<PopulationBow> population(std::size_t bows, int threads) {
  constexpr std::size_t at_once = 32;
  std::vector<PopulationBow> all;
  for (std::uint64_t first = 1; all.size() < bows; first += at_once) {
    std::vector<std::optional<PopulationBow>> drawn(at_once);
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
      for (std::size_t i = next++; i < at_once; i = next++) {
        drawn[i] = population_bow(first + i);
      }
    };
    std::vector<std::thread> workers;
    for (int t = 1; t < threads; ++t) {
      workers.emplace_back(work);
    }
    work();
    for (std::thread& each : workers) {
      each.join();
    }
    for (auto& each : drawn) {
      if (each && all.size() < bows) {
        all.push_back(std::move(*each));
      }
    }
  }
  return all;
}

std::vector<std::optional<double>> answers(const TradeRule& rule, const std::vector<PopulationBow>& bows, int threads) {
  std::vector<detail::ShotRequest> requests;
  for (const PopulationBow& bow : bows) {
    for (const bool changed : {false, true}) {
      detail::ShotRequest& request = requests.emplace_back();
      request.setup = bow.setup;
      request.statics = rule.per_eighth_of_gap;
      const bool meant = (rule.only_rest.empty() || rule.only_rest == bow.rest) &&
                         (rule.only_layout.empty() || rule.only_layout == bow.layout);
      if (!meant) {
        request.failure = "the rule is not about this bow";
        continue;
      }
      if (rule.before) {
        rule.before(request.setup);
      }
      if (changed) {
        rule.moved(request.setup);
      }
      try {
        validate(request.setup);
      } catch (const InputError& error) {
        request.failure = error.what();
      }
    }
  }
  const std::vector<Shot> shots = detail::shoot_many(requests, {threads});
  std::vector<std::optional<double>> all;
  for (std::size_t i = 0; i < shots.size(); i += 2) {
    all.emplace_back();
    if (!shots[i].flew || !shots[i + 1].flew) {
      continue;
    }
    const auto change = [&](Output part) { return shots[i + 1].value[part] - shots[i].value[part]; };
    double answer = change(rule.part) / inch;
    if (rule.per_eighth_of_gap) {
      const double gap = std::fabs(change(Output::stop_gap)) / inch;
      constexpr double least_gap = 0.004;  // [in] cams that open less tell nothing
      if (gap < least_gap) {
        continue;
      }
      answer *= 0.125 / gap;
    }
    all.back() = answer;
  }
  return all;
}

Obedience obedience(const TradeRule& rule, const std::vector<std::optional<double>>& answers) {
  constexpr double seen = 0.01;  // [in]
  std::vector<double> along;
  for (const auto& each : answers) {
    if (each) {
      along.push_back(rule.sign * *each);
    }
  }
  Obedience o;
  o.bows = along.size();
  if (along.empty()) {
    return o;
  }
  std::sort(along.begin(), along.end());
  const auto share = [&](const auto& holds) {
    return static_cast<double>(std::count_if(along.begin(), along.end(), holds)) / static_cast<double>(along.size());
  };
  const auto place = [&](double part) {
    return along[static_cast<std::size_t>(part * static_cast<double>(along.size() - 1) + 0.5)];
  };
  o.sign = share([&](double a) { return a >= seen; });
  o.against = share([&](double a) { return a <= -seen; });
  o.size = share([&](double a) { return a >= rule.least && a <= rule.most; });
  o.low = place(0.1);
  o.median = place(0.5);
  o.high = place(0.9);
  return o;
}

std::string population_table(const std::vector<PopulationBow>& bows, int threads) {
  static const std::vector<std::pair<std::string, std::string>> groups = {
      {"blade", ""}, {"capture", ""}, {"limb_driven", ""}, {"cable_driven", ""}, {"", "yokes"}, {"", "slaved"}};
  std::ostringstream out;
  out << std::fixed;
  out << "| change | the trade says | bows | its way | other way | in the trade's size | tenth, half, nine tenths of "
         "the answers | blade | capture | limb-driven | cable-driven | yokes | slaved |\n"
         "|---|---|---|---|---|---|---|---|---|---|---|---|---|\n";
  const auto percent = [&](double share) -> std::ostream& { return out << std::setprecision(0) << 100.0 * share; };
  for (const TradeRule& rule : trade_rules()) {
    const auto all = answers(rule, bows, threads);
    const Obedience whole = obedience(rule, all);
    out << "| " << rule.change << " | " << rule.says << " | " << whole.bows << " | ";
    percent(whole.sign) << " % | ";
    percent(whole.against) << " % | ";
    percent(whole.size) << " % | " << std::setprecision(2) << whole.low << ", " << whole.median << ", " << whole.high
                        << " in |";
    for (const auto& [rest, layout] : groups) {
      std::vector<std::optional<double>> some;
      for (std::size_t i = 0; i < bows.size(); ++i) {
        if (bows[i].rest == rest || bows[i].layout == layout) {
          some.push_back(all[i]);
        }
      }
      const Obedience o = obedience(rule, some);
      if (o.bows == 0) {
        out << " – |";
        continue;
      }
      out << ' ';
      percent(o.sign) << " : ";
      percent(o.against) << " |";
    }
    out << '\n';
  }
  return out.str();
}

std::string population_csv(const std::vector<PopulationBow>& bows, int threads) {
  std::vector<std::vector<std::optional<double>>> columns;
  std::ostringstream out;
  out << "seed,layout,rest";
  static const std::vector<std::string> paths = {"string.nocking_point",
                                                 "rest.height",
                                                 "rest.position_x",
                                                 "rest.center_shot",
                                                 "grip.pressure_point_y",
                                                 "riser.center_of_mass_y",
                                                 "riser.pitch_inertia",
                                                 "riser.mass",
                                                 "grip.pitch_stiffness",
                                                 "grip.stiffness_y",
                                                 "arrow.length",
                                                 "arrow.spine",
                                                 "arrow.point_mass",
                                                 "arrow.linear_density",
                                                 "cams.upper.inertia",
                                                 "cams.upper.mass",
                                                 "limbs.upper.effective_mass",
                                                 "limbs.upper.effective_length",
                                                 "string.length",
                                                 "riser.yaw_inertia",
                                                 "limbs.upper.twist_stiffness",
                                                 "cable_guard.offset",
                                                 "rest.vertical_stiffness"};
  for (const std::string& path : paths) {
    out << ',' << path;
  }
  for (const TradeRule& rule : trade_rules()) {
    out << ',' << rule.name;
    columns.push_back(answers(rule, bows, threads));
  }
  out << '\n';
  for (std::size_t i = 0; i < bows.size(); ++i) {
    out << bows[i].seed << ',' << bows[i].layout << ',' << bows[i].rest;
    for (const std::string& path : paths) {
      out << ',' << bows[i].setup.get(path);
    }
    for (const auto& column : columns) {
      out << ',';
      if (column[i]) {
        out << *column[i];
      }
    }
    out << '\n';
  }
  return out.str();
}

}  // namespace nockwise
