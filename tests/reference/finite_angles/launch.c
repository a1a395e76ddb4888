/* Right-hand side of the launch: what CasADi generated, with the solve for the tangents and the laws of the one-sided
 * elements around it. Compiled with the generated file in front (see shot.py); one library per bow and phase. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  long long n, elements, modes, nodes, tracks, has_rest, x_index;
  double spacing, shaft_length, lump;
  const double *places, *zero, *stiffness, *damping, *dampers, *preload, *cradle;
  const double *shapes;      /* per interval of the shaft: 1 + 4 modes */
  const double *track_table; /* of each track: intervals times 6, one behind the other */
  const long long *track_meta; /* of each track: index of its u, half, number of intervals */
  const double *track_first;   /* of each track: first angle, step, constant of the normal */
  double *w;                   /* inner variables, kept from call to call */
} Bow;

typedef struct {
  double mass[40 * 40], bias[40], e[16], je[16 * 40], cradle[1], jc[40], ahead[1], jn[3 * 40], nb[3];
  double elements[16], forces[16], acceleration[40], nock[3], local[32];
  const double* shape;
} Values;

static double work[200000];
static long long iwork[64];
static const double* arg[64];
static double* res[64];

static int local_polynomials(const Bow* b, const double* q, double* local) {
  const double* table = b->track_table;
  for (long long k = 0; k < b->tracks; ++k) {
    const long long* m = b->track_meta + 3 * k;
    const double* f = b->track_first + 3 * k;
    double angle = b->w[m[0]] + f[2] - q[8 + m[1]];
    double place = (angle - f[0]) / f[1];
    if (!(place >= 0.0 && place <= (double)m[2])) return 1;
    long long i = (long long)place;
    if (i > m[2] - 1) i = m[2] - 1;
    memcpy(local + 6 * k, table + 6 * i, 6 * sizeof(double));
    table += 6 * m[2];
  }
  return 0;
}

/* Gaussian elimination with partial pivoting; a is n by n, column-major, and destroyed; x holds the right side. */
static int solve(int n, double* a, double* x) {
  for (int k = 0; k < n; ++k) {
    int p = k;
    for (int i = k + 1; i < n; ++i)
      if (fabs(a[i + n * k]) > fabs(a[p + n * k])) p = i;
    if (a[p + n * k] == 0.0) return 1;
    if (p != k) {
      for (int j = k; j < n; ++j) { double t = a[k + n * j]; a[k + n * j] = a[p + n * j]; a[p + n * j] = t; }
      double t = x[k]; x[k] = x[p]; x[p] = t;
    }
    for (int i = k + 1; i < n; ++i) {
      double f = a[i + n * k] / a[k + n * k];
      if (f == 0.0) continue;
      for (int j = k + 1; j < n; ++j) a[i + n * j] -= f * a[k + n * j];
      x[i] -= f * x[k];
    }
  }
  for (int k = n - 1; k >= 0; --k) {
    for (int j = k + 1; j < n; ++j) x[k] -= a[k + n * j] * x[j];
    x[k] /= a[k + n * k];
  }
  return 0;
}

static int tangents(const Bow* b, const double* q, Values* v) {
  double r[8], j[64];
  for (int pass = 0; pass < 40; ++pass) {
    if (local_polynomials(b, q, v->local)) return 2;
    arg[0] = q; arg[1] = b->w; arg[2] = v->local; arg[3] = b->places;
    res[0] = r; res[1] = j;
    f_inner(arg, res, iwork, work, 0);
    if (solve(8, j, r)) return 3;
    double size = 0.0;
    for (int i = 0; i < 8; ++i) size = fmax(size, fabs(r[i]));
    double scale = size > 0.3 ? 0.3 / size : 1.0;
    for (int i = 0; i < 8; ++i) b->w[i] -= scale * r[i];
    if (size < 1e-10) return local_polynomials(b, q, v->local) ? 2 : 0;
    if (!(size < 1e6)) return 4;
  }
  return 5;
}

/* Accelerations and all that is known on the way. Returns 0, or where it failed. */
int evaluate(const Bow* b, const double* q, const double* qd, Values* v) {
  int failed = tangents(b, q, v);
  if (failed) return failed;
  int n = (int)b->n, ne = (int)b->elements;
  double ahead;
  arg[0] = q; arg[1] = b->places; res[0] = &ahead;
  f_ahead(arg, res, iwork, work, 0);
  long long i0 = (long long)floor(ahead / b->spacing);
  if (i0 < 0) i0 = 0;
  if (i0 > b->nodes - 2) i0 = b->nodes - 2;
  v->shape = b->shapes + i0 * (1 + 4 * b->modes);
  arg[0] = q; arg[1] = qd; arg[2] = b->w; arg[3] = v->local; arg[4] = v->shape; arg[5] = b->preload; arg[6] = b->places;
  res[0] = v->mass; res[1] = v->bias; res[2] = v->e; res[3] = v->je; res[4] = v->cradle; res[5] = v->jc;
  res[6] = v->ahead; res[7] = v->jn; res[8] = v->nb;
  f_main(arg, res, iwork, work, 0);
  double* f = v->acceleration;
  for (int i = 0; i < n; ++i) f[i] = -v->bias[i] - b->dampers[i] * qd[i];
  int over = b->has_rest && v->ahead[0] > 0.0 && v->ahead[0] < b->shaft_length;
  for (int k = 0; k < ne; ++k) {
    double rate = 0.0, e = v->e[k] - b->zero[k];
    for (int i = 0; i < n; ++i) rate += v->je[k + ne * i] * qd[i];
    v->elements[k] = e;
    double t = e > 0.0 ? fmax(0.0, b->stiffness[k] * e + b->damping[k] * rate) : 0.0;
    if (b->has_rest && k == 6 && !over) t = 0.0;
    v->forces[k] = t;
    if (t != 0.0)
      for (int i = 0; i < n; ++i) f[i] -= t * v->je[k + ne * i];
  }
  if (over) {
    double depth = b->cradle[0], stiff = b->cradle[1], off = v->cradle[0], rate = 0.0;
    double share = fmin(1.0, fmax(0.0, 1.0 + v->elements[6] / depth));
    for (int i = 0; i < n; ++i) rate += v->jc[i] * qd[i];
    double t = share * (stiff * off + b->cradle[2] * rate);
    for (int i = 0; i < n; ++i) f[i] -= t * v->jc[i];
    if (share > 0.0 && share < 1.0) /* the energy share k off^2 / 2 also pushes along the gap */
      for (int i = 0; i < n; ++i) f[i] -= 0.5 * stiff * off * off / depth * v->je[6 + ne * i];
  }
  if (solve(n, v->mass, f)) return 6;
  for (int k = 0; k < 3; ++k) {
    v->nock[k] = v->nb[k];
    for (int i = 0; i < n; ++i) v->nock[k] += v->jn[k + 3 * i] * f[i];
  }
  return 0;
}

/* dy/dt of y = (q, q'). */
int slope(const Bow* b, const double* y, Values* v, double* out) {
  int failed = evaluate(b, y, y + b->n, v);
  if (failed) return failed;
  memcpy(out, y + b->n, (size_t)b->n * sizeof(double));
  memcpy(out + b->n, v->acceleration, (size_t)b->n * sizeof(double));
  return 0;
}

/* Kinetic and potential energy without the one-sided elements, at the state last evaluated. */
void energies(const Bow* b, const double* q, const double* qd, const Values* v, double* out) {
  arg[0] = q; arg[1] = qd; arg[2] = b->w; arg[3] = v->local; arg[4] = v->shape; arg[5] = b->preload; arg[6] = b->places;
  res[0] = out; res[1] = out + 1;
  f_energy(arg, res, iwork, work, 0);
}
