import { Cell } from "./cell.ts";

/** How often something that a verdict depends on was changed here: what is open is judged again. */
export const judgeAnew = new Cell(0);
