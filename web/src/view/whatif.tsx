export function WhatIfView() {
  return null;
}
