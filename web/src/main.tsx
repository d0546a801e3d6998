import { render } from "preact";
import "./styles/index.css";
import { takeToken } from "./api/client";
import { startPolling } from "./api/poll";
import { Shell } from "./shell/Shell";
import { listenToKeys } from "./shell/keys";
import { applyTheme } from "./shell/theme";

applyTheme();
takeToken();
startPolling();
listenToKeys();
const root = document.getElementById("page");
if (root) render(<Shell />, root);
