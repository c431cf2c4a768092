export function CircuitView() {
  return null;
}
