// node psychrolib_grid.js DIRECTORY: moist air by psychrolib on a grid, as comma-separated values.
// SI, temperatures in degC, pressures in Pa, enthalpy in J/kg.
'use strict';
const psychrolib = require(require('path').join(process.argv[2], 'node_modules', 'psychrolib'));
psychrolib.SetUnitSystem(psychrolib.SI);

console.log('altitude,p,t,rh,pws,w,wet_bulb,dew_point,h,v,rho');
for (const altitude of [0, 500, 1600, 3000]) {
  const p = psychrolib.GetStandardAtmPressure(altitude);
  for (let t = -40; t <= 80; t += 7.5) {
    for (const rh of [0.02, 0.1, 0.35, 0.6, 0.9, 1]) {
      const w = psychrolib.GetHumRatioFromRelHum(t, rh, p);
      console.log([
        altitude, p, t, rh, psychrolib.GetSatVapPres(t), w,
        psychrolib.GetTWetBulbFromRelHum(t, rh, p),
        psychrolib.GetTDewPointFromRelHum(t, rh),
        psychrolib.GetMoistAirEnthalpy(t, w),
        psychrolib.GetMoistAirVolume(t, w, p),
        psychrolib.GetMoistAirDensity(t, w, p)].join(','));
    }
  }
}
