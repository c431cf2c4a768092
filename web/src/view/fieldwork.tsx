export function FieldworkView() {
  return null;
}
