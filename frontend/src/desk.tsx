import "./styles/desk.css";
import { render } from "preact";
import { Desk } from "./desk/desk";

const root = document.getElementById("desk");
if (root) render(<Desk />, root);
