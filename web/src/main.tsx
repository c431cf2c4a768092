import { render } from "preact";
import "./part/theme.ts";
import "./style/ground.css";
import "./style/parts.css";
import "./style/views.css";
import "./style/field.css";
import "./style/drawings.css";
import { App } from "./app.tsx";

const root = document.getElementById("root");
if (root) {
  root.replaceChildren();
  render(<App />, root);
}
