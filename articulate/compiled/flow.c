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

#define RUN(piece, where) piece(w->vehicle[0], w->vehicle[1], w->vehicle[2], w->vehicle[3], w->s, where)

static const truth EVERY = {-1, -1, -1, -1};

/* Lanes that wait for a slot, and the slots. */
typedef struct {
  long count, next;
  const long long *lane;   /* of the system, one after the other */
  const double *vehicles;  /* of the system, a row a lane */
  const double *rows;      /* what each of the lanes brings along, `width` numbers from `field` on */
  long field, width;
  real s[SLOT];
  long at[AT_ONCE];        /* which of the lanes a slot has, -1 none */
  long times[AT_ONCE];     /* evaluations of its attempt */
  const double *vehicle[AT_ONCE];
} work;

static void store(const work *w, long slot, long field, long width, double *row) {
  for (long k = 0; k < width; k++) row[k] = w->s[field + k][slot];
}

/* Put the next lane into a slot, or leave there what was in it: something to compute with. */
static void next_lane(work *w, long slot) {
  w->times[slot] = 0;
  w->at[slot] = w->next < w->count ? w->next++ : -1;
  const long i = w->at[slot] < 0 ? 0 : w->at[slot];
  if (w->at[slot] < 0 && w->vehicle[slot]) return;
  w->vehicle[slot] = w->vehicles + WIDTH * w->lane[i];
  for (long k = 0; k < w->width; k++) w->s[w->field + k][slot] = w->rows[w->width * i + k];
}

static void fill(work *w) {
  for (long k = 0; k < AT_ONCE; k++) next_lane(w, k);
}

static int busy(const work *w) { return w->at[0] >= 0 || w->at[1] >= 0 || w->at[2] >= 0 || w->at[3] >= 0; }

static int any(truth of) { return (of[0] | of[1] | of[2] | of[3]) != 0; }

#define JOBS .count = count, .lane = lane, .vehicles = vehicles, .rows = jobs, .field = ANCHOR, .width = JOB_WIDTH

/* Trials as they are: what the equations say there (`what` 0) or the loads of the contacts (1). */
EXPORTED void evaluate(long count, const long long *lane, const double *vehicles, const double *jobs, long what,
                       double *found) {
  work slots = {JOBS}, *w = &slots;
  while (w->next < count) {
    fill(w);
    memcpy(w->s + TRIAL_STATE, w->s + GUESS_STATE, (UNKNOWNS + 1) * sizeof *w->s);
    if (what) RUN(loads, &EVERY);
    else RUN(moves, &EVERY);
    const long field = what ? LOADS : MOVES, width = what ? LOADS_WIDTH : MOVES_WIDTH;
    for (long k = 0; k < AT_ONCE; k++)
      if (w->at[k] >= 0) store(w, k, field, width, found + width * w->at[k]);
  }
}

/* One step of Newton's method, or of settling, in each slot; which of them are done. */
static truth step(work *w, long settling, long iterations) {
  truth finished = {0, 0, 0, 0};
  if (settling) RUN(settle_on, &EVERY);
  else {
    RUN(moves, &EVERY);
    RUN(judge, &EVERY);
  }
  for (long k = 0; k < AT_ONCE; k++) {
    if (w->at[k] < 0) continue;
    w->times[k]++;
    if (w->times[k] < iterations && w->s[GOES_ON][k] != 0.0) continue;
    finished[k] = -1;
    w->times[k] = 0;
  }
  return finished;
}

static void start(work *w, long settling, const truth *where) {
  if (settling) RUN(begin_settling, where);
  else RUN(begin, where);
}

/* `solve_at`, a job and a solution for each of the lanes; with `settling` the motion of `settle_from`: its end. */
EXPORTED void solve(long count, const long long *lane, const double *vehicles, const double *jobs, long iterations,
                    long settling, double *found) {
  work slots = {JOBS}, *w = &slots;
  const long field = settling ? TRIAL_STATE : HIGH, width = settling ? UNKNOWNS : HIGH_WIDTH;
  if (count == 0) return;
  fill(w);
  start(w, settling, &EVERY);
  while (busy(w)) {
    const truth finished = step(w, settling, iterations);
    if (!any(finished)) continue;
    for (long k = 0; k < AT_ONCE; k++) {
      if (!finished[k]) continue;
      store(w, k, field, width, found + width * w->at[k]);
      next_lane(w, k);
    }
    start(w, settling, &finished);
  }
}

/* `_Paths.stride`: the paths of some lanes go on from their `records` until they end or are held; returns how many
   nodes were met. It ends early where there is no more room for those: then some lanes still run. */
EXPORTED long strides(long count, const long long *lane, const double *vehicles, double *records, const double *steps,
                      long iterations, long remembers, long room, long long *node_lane, double *nodes) {
  work slots = {.count = count, .lane = lane, .vehicles = vehicles, .rows = records, .width = RECORD_WIDTH};
  work *w = &slots;
  long met = 0;
  if (count == 0) return 0;
  for (long k = 0; k < STEPS_WIDTH; k++) w->s[STEPS + k] = ALL(steps[k]);
  fill(w);
  RUN(aim, &EVERY);
  RUN(begin, &EVERY);
  while (busy(w) && met + AT_ONCE <= room) {
    const truth finished = step(w, 0, iterations);
    if (!any(finished)) continue;
    if (!remembers)
      for (long k = 0; k < GUARDS_WIDTH; k++) w->s[HIGH_GUARDS + k] = ALL(NAN);
    RUN(verdict, &finished);
    const truth onward = finished & (w->s[VERDICT_ONWARD] != 0.0);
    if (remembers) RUN(carry, &onward);
    for (long k = 0; k < HIGH_WIDTH; k++) w->s[LOW + k] = SELECT(onward, w->s[HIGH + k], w->s[LOW + k]);
    for (long k = 0; k < AT_ONCE; k++) {
      if (!finished[k]) continue;
      if (onward[k]) {
        node_lane[met] = lane[w->at[k]];
        store(w, k, LOW, NODE_WIDTH, nodes + NODE_WIDTH * met++);
      }
      if (w->s[VERDICT_END][k] == 0.0 && w->s[VERDICT_HELD][k] == 0.0) continue;
      store(w, k, 0, RECORD_WIDTH, records + RECORD_WIDTH * w->at[k]);
      next_lane(w, k);
    }
    RUN(aim, &finished);
    RUN(begin, &finished);
  }
  for (long k = 0; k < AT_ONCE; k++) /* between two strides a lane is what its record says */
    if (w->at[k] >= 0) store(w, k, 0, RECORD_WIDTH, records + RECORD_WIDTH * w->at[k]);
  return met;
}
