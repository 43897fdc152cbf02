import "./styles/desk.css";
import "./styles/desk-sheets.css";
import "./styles/desk-writing.css";
import "./styles/desk-stopping.css";
import { render } from "preact";
import { Desk } from "./desk/desk";

const root = document.getElementById("desk");
if (root) render(<Desk />, root);
