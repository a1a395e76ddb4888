#include "nockwise/cam_table.hpp"

#include "base/threads.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/model.hpp"
#include "nockwise/outputs.hpp"
#include "shots/batch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <utility>
#include <variant>

namespace nockwise {

namespace {

constexpr double quarter_twist = 0.25;
constexpr int draw_positions = 120;

void check_options(const CamTableOptions& options) {
  detail::check_threads(options.threads);
  if (options.distance && !(*options.distance > 0.0)) {
    throw InputError("distance", format_quantity(*options.distance, Quantity::length, "m"), "must be above 0 m");
  }
}

/// A bow with so many more twists in the upper cam's cable.
Setup twisted(Setup setup, double twists) {
  setup.cables.upper.twists += twists;
  return setup;
}

double straight_cable(const Setup& setup) {
  const Cable& c = setup.cables.upper;
  const double turn = 3.14159265358979323846 * c.diameter;
  const double lay = turn * c.lay_twists;
  const double all = turn * (c.lay_twists + c.twists);
  return std::sqrt(c.length * c.length + lay * lay - all * all);
}

/// What is read from one draw, at the touch of the first stop.
struct Drawn {
  double lead = 0.0;  // upper less lower cam angle [rad]
  double stop_gap = 0.0, nock_travel = 0.0;
};

Drawn drawn(const DrawCycle& cycle) {
  const DrawPoint& touch = cycle.points[cycle.touch_index];
  const auto& [upper, lower] = touch.stop_gap;
  return {touch.cam_angle.upper - touch.cam_angle.lower, upper && lower ? *upper - *lower : 0.0,
          signed_nock_travel(cycle)};
}

DrawCycle draw(const Setup& setup) { return draw_cycle(Model(setup), {draw_positions, DrawHold::draw_board}); }

void describe_draw(const Setup& setup, CamRow& row) {
  const DrawCycle cycle = draw(setup);
  row.axle_to_axle = cycle.brace_axle_to_axle;
  row.brace_height = cycle.brace_height;
  row.draw_length = cycle.draw_length;
  row.peak_force = cycle.peak_force;
  row.holding_force = cycle.holding_force;
  row.let_off = cycle.let_off;
  row.stored_energy = cycle.stored_energy;
  row.fullness = cycle.stored_energy / (cycle.peak_force * cycle.power_stroke);
  const auto mean_angle = [&](std::size_t i) {
    return 0.5 * (cycle.points[i].cam_angle.upper + cycle.points[i].cam_angle.lower);
  };
  row.brace_cam_angle = mean_angle(0);
  row.cam_turn = mean_angle(cycle.touch_index) - row.brace_cam_angle;
  row.nock_travel = drawn(cycle).nock_travel;
  for (std::size_t i = 0; i <= cycle.touch_index; ++i) {
    const DrawPoint& point = cycle.points[i];
    const double lead = point.cam_angle.upper - point.cam_angle.lower;
    row.largest_lead = std::fabs(lead) > std::fabs(row.largest_lead) ? lead : row.largest_lead;
    row.draw_curve.push_back({draw_length_allowance - point.nock_x, point.draw_force});
  }
}

/// Statics of the chain: half the difference of both draws.
void describe_chain(const Setup& setup, SyncChain& chain) {
  const Setup more = twisted(setup, quarter_twist);
  const Setup less = twisted(setup, -quarter_twist);
  const Drawn plus = drawn(draw(more));
  const Drawn minus = drawn(draw(less));
  chain.cable_length = 0.5 * (straight_cable(more) - straight_cable(less));
  chain.cam_angle = 0.5 * (plus.lead - minus.lead);
  chain.stop_gap = 0.5 * (plus.stop_gap - minus.stop_gap);
  chain.nock_travel = 0.5 * (plus.nock_travel - minus.nock_travel);
}

/// Shoots every bow that has been drawn, and twice more for its chain; all in one sweep.
void shoot_all(CamTable& table, const CamTableOptions& options) {
  std::vector<detail::ShotRequest> requests;
  std::vector<std::size_t> of_row;
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    if (!table.rows[i].failure.empty()) {
      continue;
    }
    for (const double twists : {0.0, quarter_twist, -quarter_twist}) {
      requests.push_back(
          {.setup = twisted(table.rows[i].setup, twists), .distance = options.distance, .statics = false});
    }
    of_row.push_back(i);
  }
  const std::vector<Shot> shots = detail::shoot_many(requests, {.threads = options.threads, .stop = options.stop});
  for (std::size_t k = 0; k < of_row.size(); ++k) {
    CamRow& row = table.rows[of_row[k]];
    const Shot& base = shots[3 * k];
    const Shot& plus = shots[3 * k + 1];
    const Shot& minus = shots[3 * k + 2];
    if (base.flew) {
      row.exit_speed = base.value[Output::exit_speed];
      row.tear_up = base.value[Output::tear_up];
      row.tear_right = base.value[Output::tear_right];
    }
    for (const Shot* shot : {&base, &plus, &minus}) {
      row.failure = row.failure.empty() && !shot->flew ? shot->failure : row.failure;
    }
    if (row.failure.empty()) {
      row.chain.tear_up = 0.5 * (plus.value[Output::tear_up] - minus.value[Output::tear_up]);
      row.chain.tear_right = 0.5 * (plus.value[Output::tear_right] - minus.value[Output::tear_right]);
    }
  }
}

/// Measurements of a bow that was built, from which others with its limbs, string grooves and draw are built.
BowMeasurements same_draw(const BowMeasurements& sheet, const Setup& built) {
  constexpr std::size_t every = 2;  // of the draw's points: as many as a careful bench reads
  BowMeasurements m = sheet;
  m.peak_force.reset();
  m.let_off.reset();
  m.rated_speed.reset();
  m.chronograph.reset();
  m.draw_curve.clear();
  const DrawCycle cycle = draw(built);
  const DrawPoint& brace = cycle.points.front();
  const DrawPoint& touch = cycle.points[cycle.touch_index];
  for (std::size_t i = every; i < cycle.touch_index; i += every) {
    m.draw_curve.push_back({draw_length_allowance - cycle.points[i].nock_x, cycle.points[i].draw_force});
  }
  m.draw_curve.push_back({cycle.draw_length, touch.draw_force});
  m.limb.effective_length = built.limbs.upper.effective_length;
  m.limb.brace_angle = 0.5 * (brace.limb_angle.upper + brace.limb_angle.lower);
  m.limb.travel = 0.5 * (touch.limb_angle.upper + touch.limb_angle.lower) - *m.limb.brace_angle;
  m.limb.torsion_stiffness.reset();
  const auto& circle =
      std::get<CircleTrack>(built.cams.upper.string_track);  // the builder's string grooves are circles
  m.cam.string_radius = circle.radius;
  m.cam.string_eccentricity = circle.eccentricity;
  m.cam.string_direction = circle.angle;
  return m;
}

/// One row a name: its bow made by `make(i)`, drawn, and all shot.
CamTable table_of(std::size_t count, const std::function<CamRow(std::size_t)>& make, const CamTableOptions& options) {
  CamTable table;
  for (std::size_t i = 0; i < count; ++i) {
    if (options.stop != nullptr && options.stop->load()) {
      throw Interrupted();
    }
    CamRow row = make(i);
    if (row.failure.empty()) {
      try {
        describe_draw(row.setup, row);
        describe_chain(row.setup, row.chain);
      } catch (const Error& error) {
        row.failure = error.what();
      }
    }
    table.rows.push_back(std::move(row));
  }
  shoot_all(table, options);
  return table;
}

/// A row with the bow that `setup()` gives, or the reason why there is none.
CamRow row_of(const std::string& name, const std::function<Setup()>& setup) {
  CamRow row;
  row.name = name;
  try {
    row.setup = setup();
  } catch (const Error& error) {
    row.failure = error.what();
  }
  return row;
}

}  // namespace

CamTable compare_cams(const Setup& setup, std::span<const NamedCam> cams, const CamTableOptions& options) {
  check_options(options);
  if (cams.empty()) {
    throw InputError("cams", "", "must be at least one");
  }
  CamAims aims = options.aims;
  if (!aims.axle_to_axle || !aims.brace_height || !aims.draw_length) {  // once, not for every cam
    const DrawCycle cycle = draw(setup);
    aims.axle_to_axle = aims.axle_to_axle.value_or(cycle.brace_axle_to_axle);
    aims.brace_height = aims.brace_height.value_or(cycle.brace_height);
    aims.draw_length = aims.draw_length.value_or(cycle.draw_length);
  }
  check_aims(aims);
  return table_of(
      cams.size(),
      [&](std::size_t i) {
        return row_of(cams[i].name, [&] { return fit_to_cam(setup, cams[i].tracks, aims).setup; });
      },
      options);
}

CamTable compare_bows(std::span<const Setup> setups, const CamTableOptions& options) {
  check_options(options);
  if (setups.empty()) {
    throw InputError("setups", "", "must be at least one");
  }
  return table_of(
      setups.size(), [&](std::size_t i) { return row_of(setups[i].name, [&] { return setups[i]; }); }, options);
}

CamTable compare_layouts(const BowMeasurements& sheet, const CamTableOptions& options) {
  check_options(options);
  const Setup own = build_bow(sheet).setup;
  const BowMeasurements as_drawn = same_draw(sheet, own);
  constexpr std::array layouts{std::pair{"yoke", Cabling::yoke}, std::pair{"hybrid", Cabling::hybrid},
                               std::pair{"crossed", Cabling::crossed}};
  return table_of(
      layouts.size(),
      [&](std::size_t i) {
        const auto& [name, cabling] = layouts[i];
        if (cabling == sheet.cabling) {
          return row_of(name, [&] { return own; });
        }
        BowMeasurements measurements = as_drawn;
        measurements.cabling = cabling;
        return row_of(name, [&] { return build_bow(measurements, own).setup; });
      },
      options);
}

}  // namespace nockwise
