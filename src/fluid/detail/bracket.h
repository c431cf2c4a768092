#pragma once

#include <cmath>

namespace cw::fluid::detail {

/// Root of f between a and b, where f(a) = fa and f(b) = fb differ in sign (or one is zero), by
/// inverse quadratic interpolation with bisection as safeguard [chandrupatla1997]. Ends when the
/// bracket is `tolerance` relative or after 200 evaluations; returns the end with the smaller |f|.
template <class F>
double bracketed_root(F&& f, double a, double fa, double b, double fb, double tolerance) {
  double c = a;
  double fc = fa;
  double t = 0.5;
  for (int i = 0; i < 200; ++i) {
    const double x = a + t * (b - a);
    const double fx = f(x);
    if ((fx > 0.0) == (fa > 0.0)) {
      c = a;
      fc = fa;
    } else {
      c = b;
      b = a;
      fc = fb;
      fb = fa;
    }
    a = x;
    fa = fx;
    const double best = std::fabs(fb) < std::fabs(fa) ? b : a;
    const double limit = 0.5 * tolerance * std::fabs(best) / std::fabs(b - a);
    if (fa == 0.0 || limit > 0.5 || !(std::fabs(b - a) > 0.0)) return best;
    const double xi = (a - b) / (c - b);
    const double phi = (fa - fb) / (fc - fb);
    if (phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi) {
      t = fa / (fb - fa) * (fc / (fb - fc)) +
          (c - a) / (b - a) * (fa / (fc - fa)) * (fb / (fc - fb));
    } else {
      t = 0.5;
    }
    t = std::fmin(1.0 - limit, std::fmax(limit, t));
  }
  return a;
}

}  // namespace cw::fluid::detail
