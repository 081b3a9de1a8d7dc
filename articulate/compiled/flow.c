/* Newton's method and the path in many lanes: the loops of `solve.newton.solve_at` and `solve.path._Paths.stride`.

   What is computed in them stands in pieces.c, which scripts/compiled_core writes from the NumPy code; here is only when.
   AT_ONCE lanes are worked on together, each in a slot; a lane that is done gives its slot to the next. Rows of the
   arrays are lanes, their columns fields of a slot one after the other (see layout.py). */

#include <math.h>
#include <string.h>

#define AT_ONCE 4
typedef double real __attribute__((vector_size(32)));
typedef long long truth __attribute__((vector_size(32)));

#define ALL(x) ((real){x, x, x, x})
#define EACH(f, x) ((real){f((x)[0]), f((x)[1]), f((x)[2]), f((x)[3])})
#define SELECT(c, a, b) ((real)(((c) & (truth)(a)) | (~(c) & (truth)(b))))
#define AS_REAL(c) ((real)((c) & (truth)ALL(1.0)))
#define GIVEN(k) ((real){a[k], b[k], c[k], d[k]})
#define FABS(x) ((real)((truth)(x) & 0x7fffffffffffffffLL))
#define MAXIMUM(a, b) SELECT(((a) >= (b)) | ((a) != (a)), a, b)
#define MINIMUM(a, b) SELECT(((a) <= (b)) | ((a) != (a)), a, b)
#define ISNAN(x) ((x) != (x))
#define ISFINITE(x) ((x) - (x) == 0.0)
#define SIGN(x) (AS_REAL((x) > 0.0) - AS_REAL((x) < 0.0))
#define PUT(k, x) s[k] = SELECT(where, x, s[k])
#define PUT_IF(c, k, x) s[k] = SELECT(where & (c), x, s[k])

#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__)
#define FOR_EACH_PROCESSOR __attribute__((target_clones("avx2", "default")))
#else
#define FOR_EACH_PROCESSOR
#endif

#ifdef _WIN32
#define EXPORTED __declspec(dllexport)
#else
#define EXPORTED
#endif

/* One piece: on slots s, of vehicles a to d, where a slot is asked about. */
#define PIECE(name)                                                                                              \
  FOR_EACH_PROCESSOR static void name(const double *a, const double *b, const double *c, const double *d, real *s, \
                                      const truth *asked)

#include "pieces.c"

#define RUN(piece, where) piece(vehicle[0], vehicle[1], vehicle[2], vehicle[3], s, where)

static const truth EVERY = {-1, -1, -1, -1};

static void load(real *s, long slot, long field, long width, const double *row) {
  for (long k = 0; k < width; k++) s[field + k][slot] = row[k];
}

static void store(const real *s, long slot, long field, long width, double *row) {
  for (long k = 0; k < width; k++) row[k] = s[field + k][slot];
}

/* Put the next lane into a slot, or leave there what was in it: something to compute with. */
static void next_lane(long slot, long count, const long long *lane, long *next, long *at, const double **vehicle,
                      const double *vehicles, real *s, long field, long width, const double *rows) {
  at[slot] = *next < count ? (*next)++ : -1;
  const long i = at[slot] < 0 ? 0 : at[slot];
  if (at[slot] < 0 && vehicle[slot]) return;
  vehicle[slot] = vehicles + WIDTH * lane[i];
  load(s, slot, field, width, rows + width * i);
}

/* Trials as they are: what the equations say there (`what` 0) or the loads of the contacts (1). */
EXPORTED void evaluate(long count, const long long *lane, const double *vehicles, const double *jobs, long what,
                       double *found) {
  real s[SLOT];
  long at[AT_ONCE], next = 0;
  const double *vehicle[AT_ONCE] = {0};
  memset(s, 0, sizeof s);
  while (next < count) {
    for (long k = 0; k < AT_ONCE; k++)
      next_lane(k, count, lane, &next, at, vehicle, vehicles, s, ANCHOR, JOB_WIDTH, jobs);
    memcpy(s + TRIAL_STATE, s + GUESS_STATE, (UNKNOWNS + 1) * sizeof *s);
    if (what) RUN(loads, &EVERY);
    else RUN(moves, &EVERY);
    for (long k = 0; k < AT_ONCE; k++) {
      if (at[k] < 0) continue;
      if (what) store(s, k, LOADS, LOADS_WIDTH, found + LOADS_WIDTH * at[k]);
      else store(s, k, MOVES, MOVES_WIDTH, found + MOVES_WIDTH * at[k]);
    }
  }
}

/* One evaluation and what it says of each slot's attempt; which slots are done with it. */
static truth step(const double **vehicle, real *s, const long *at, long *evaluations, long iterations) {
  truth finished = {0, 0, 0, 0};
  RUN(moves, &EVERY);
  RUN(judge, &EVERY);
  for (long k = 0; k < AT_ONCE; k++)
    if (at[k] >= 0 && (++evaluations[k] >= iterations || s[DONE][k] != 0.0 || s[GOES_ON][k] == 0.0)) {
      finished[k] = -1;
      evaluations[k] = 0;
    }
  return finished;
}

static int any(truth of) { return (of[0] | of[1] | of[2] | of[3]) != 0; }

/* `solve_at`: a job and a solution for each of the lanes. */
EXPORTED void solve(long count, const long long *lane, const double *vehicles, const double *jobs, long iterations,
                    double *found) {
  real s[SLOT];
  long at[AT_ONCE], next = 0, evaluations[AT_ONCE] = {0};
  const double *vehicle[AT_ONCE] = {0};
  memset(s, 0, sizeof s);
  if (count == 0) return;
  for (long k = 0; k < AT_ONCE; k++)
    next_lane(k, count, lane, &next, at, vehicle, vehicles, s, ANCHOR, JOB_WIDTH, jobs);
  RUN(begin, &EVERY);
  while (at[0] >= 0 || at[1] >= 0 || at[2] >= 0 || at[3] >= 0) {
    const truth finished = step(vehicle, s, at, evaluations, iterations);
    if (!any(finished)) continue;
    for (long k = 0; k < AT_ONCE; k++) {
      if (!finished[k]) continue;
      store(s, k, HIGH, HIGH_WIDTH, found + HIGH_WIDTH * at[k]);
      next_lane(k, count, lane, &next, at, vehicle, vehicles, s, ANCHOR, JOB_WIDTH, jobs);
    }
    RUN(begin, &finished);
  }
}

/* The motion of `settle_from`: where it ends in each of the lanes. */
EXPORTED void settle(long count, const long long *lane, const double *vehicles, const double *jobs, long iterations,
                     double *found) {
  real s[SLOT];
  long at[AT_ONCE], next = 0, steps[AT_ONCE] = {0};
  const double *vehicle[AT_ONCE] = {0};
  memset(s, 0, sizeof s);
  if (count == 0) return;
  for (long k = 0; k < AT_ONCE; k++)
    next_lane(k, count, lane, &next, at, vehicle, vehicles, s, ANCHOR, JOB_WIDTH, jobs);
  RUN(begin_settling, &EVERY);
  while (at[0] >= 0 || at[1] >= 0 || at[2] >= 0 || at[3] >= 0) {
    truth finished = {0, 0, 0, 0};
    RUN(settle_on, &EVERY);
    for (long k = 0; k < AT_ONCE; k++) {
      if (at[k] < 0 || (++steps[k] < iterations && s[GOES_ON][k] != 0.0)) continue;
      finished[k] = -1;
      steps[k] = 0;
      store(s, k, TRIAL_STATE, UNKNOWNS, found + UNKNOWNS * at[k]);
      next_lane(k, count, lane, &next, at, vehicle, vehicles, s, ANCHOR, JOB_WIDTH, jobs);
    }
    if (any(finished)) RUN(begin_settling, &finished);
  }
}

/* `_Paths.stride`: the paths of some lanes go on from their `records` until they end or are held; returns how
   many nodes were met. It ends early where there is no more room for those: then some lanes still run. */
EXPORTED long strides(long count, const long long *lane, const double *vehicles, double *records, const double *steps,
                      long iterations, long remembers, long room, long long *node_lane, double *nodes) {
  real s[SLOT];
  long at[AT_ONCE], next = 0, evaluations[AT_ONCE] = {0}, met = 0;
  const double *vehicle[AT_ONCE] = {0};
  memset(s, 0, sizeof s);
  if (count == 0) return 0;
  for (long k = 0; k < STEPS_WIDTH; k++) s[STEPS + k] = ALL(steps[k]);
  for (long k = 0; k < AT_ONCE; k++)
    next_lane(k, count, lane, &next, at, vehicle, vehicles, s, 0, RECORD_WIDTH, records);
  RUN(aim, &EVERY);
  RUN(begin, &EVERY);
  while ((at[0] >= 0 || at[1] >= 0 || at[2] >= 0 || at[3] >= 0) && met + AT_ONCE <= room) {
    const truth finished = step(vehicle, s, at, evaluations, iterations);
    if (!any(finished)) continue;
    if (!remembers)
      for (long k = 0; k < GUARDS_WIDTH; k++) s[HIGH_GUARDS + k] = ALL(NAN);
    RUN(verdict, &finished);
    const truth onward = finished & (s[VERDICT_ONWARD] != 0.0);
    if (remembers) RUN(carry, &onward);
    for (long k = 0; k < HIGH_WIDTH; k++) s[LOW + k] = SELECT(onward, s[HIGH + k], s[LOW + k]);
    for (long k = 0; k < AT_ONCE; k++) {
      if (!finished[k]) continue;
      if (onward[k]) {
        node_lane[met] = lane[at[k]];
        store(s, k, LOW, NODE_WIDTH, nodes + NODE_WIDTH * met++);
      }
      if (s[VERDICT_END][k] == 0.0 && s[VERDICT_HELD][k] == 0.0) continue;
      store(s, k, 0, RECORD_WIDTH, records + RECORD_WIDTH * at[k]);
      next_lane(k, count, lane, &next, at, vehicle, vehicles, s, 0, RECORD_WIDTH, records);
    }
    RUN(aim, &finished);
    RUN(begin, &finished);
  }
  for (long k = 0; k < AT_ONCE; k++) /* between two strides a lane is what its record says */
    if (at[k] >= 0) store(s, k, 0, RECORD_WIDTH, records + RECORD_WIDTH * at[k]);
  return met;
}
