/** The door to the phone's data, open to a test that drives a real browser. */
import * as bench from "../../../frontend/src/store/bench";

Object.assign(window, { bench, opened: bench.openBench(), mark: import.meta.env.VITE_MARK });
