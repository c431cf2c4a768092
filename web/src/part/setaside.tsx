import type { Counters, Reject } from "../api/types.ts";

/** What the reading of files doubted or left out: each kind with its count and meaning, then the rows themselves. */
export function SetAside({ counters, rejects }: { counters: Counters; rejects: readonly Reject[] }) {
  const kinds = Object.entries(counters);
  if (kinds.length === 0) return <p>Nothing was set aside.</p>;
  return (
    <>
      <div tabIndex={0} class="wide-table">
        <table>
          <thead>
            <tr>
              <th scope="col">What</th>
              <th scope="col" class="n">
                Times
              </th>
              <th scope="col">How bad</th>
              <th scope="col">Meaning</th>
            </tr>
          </thead>
          <tbody>
            {kinds.map(([name, c]) => (
              <tr key={name}>
                <th scope="row">{name.replaceAll("_", " ")}</th>
                <td class="n">{c.count}</td>
                <td>{c.severity}</td>
                <td>{c.meaning}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {rejects.length > 0 ? (
        <div tabIndex={0} class="wide-table short">
          <table>
            <thead>
              <tr>
                <th scope="col">Where</th>
                <th scope="col">Text</th>
                <th scope="col">Reason</th>
              </tr>
            </thead>
            <tbody>
              {rejects.slice(0, 200).map((r) => (
                <tr key={`${r.file} ${r.line} ${r.column} ${r.counter}`}>
                  <td>
                    {r.file} line {r.line}
                    {r.column ? `, ${r.column}` : ""}
                  </td>
                  <td>
                    <code>{r.text}</code>
                  </td>
                  <td>{r.reason}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      ) : null}
    </>
  );
}
