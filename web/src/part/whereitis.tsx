import type { TwinAnswer } from "../api/types.ts";
import { useUnits } from "./session.ts";
import { placeWords } from "../base/names.ts";
import { fixed } from "../base/units.ts";

interface Part {
  name: string;
  kg: number;
  note?: string;
}

export function partsOf(inventory: TwinAnswer["inventory"]): Part[] {
  const parts: Part[] = [
    { name: "liquid line", kg: inventory.liquid_line },
    { name: "gas line", kg: inventory.gas_line },
  ];
  if (inventory.third_line > 0) parts.push({ name: "third line", kg: inventory.third_line });
  for (const m of inventory.modules) {
    const where = placeWords(m.place);
    parts.push({ name: `coil, ${where}`, kg: m.coil });
    parts.push({
      name: `accumulator, ${where}`,
      kg: m.accumulator,
      note: `filled to ${fixed(100 * m.accumulator_level, 0)} % of what fits below its outlet`,
    });
    parts.push({ name: `discharge side, ${where}`, kg: m.discharge });
    parts.push({ name: `dissolved in oil, ${where}`, kg: m.dissolved });
  }
  const units = inventory.units.reduce((sum, u) => sum + u.coil, 0);
  const parked = inventory.units.filter((u) => Boolean(u.parked)).length;
  parts.push({
    name: `coils of ${inventory.units.length} indoor units`,
    kg: units,
    ...(parked > 0 ? { note: `${parked} of them stopped, with liquid parked in them` } : {}),
  });
  return parts.sort((a, b) => b.kg - a.kg);
}

/** Kilograms in each part, the largest first, as lengths and numbers. */
export function WhereItIs({ inventory }: { inventory: TwinAnswer["inventory"] }) {
  const units = useUnits();
  const parts = partsOf(inventory);
  const most = Math.max(...parts.map((p) => p.kg), 1e-6);
  return (
    <table class="inventory">
      <caption class="hidden">Refrigerant in each part of the machine</caption>
      <thead>
        <tr>
          <th scope="col">Part</th>
          <th scope="col" class="n">Refrigerant</th>
          <th scope="col"><span class="hidden">As a length</span></th>
        </tr>
      </thead>
      <tbody>
        {parts.map((p) => (
          <tr key={p.name}>
            <th scope="row">
              {p.name}
              {p.note ? <span class="soft"> ({p.note})</span> : null}
            </th>
            <td class="n">{units.text(p.kg, "mass", -1)}</td>
            <td class="inventory-bar">
              <svg viewBox="0 0 200 14" preserveAspectRatio="none" aria-hidden="true">
                <rect x="0" y="1" width={(200 * p.kg) / most} height="12" />
              </svg>
            </td>
          </tr>
        ))}
        <tr>
          <th scope="row">together</th>
          <td class="n"><strong>{units.text(inventory.total, "mass", -1)}</strong></td>
          <td />
        </tr>
      </tbody>
    </table>
  );
}
