// Who is let in is shown as phones come.

import { listen, refresh } from "./common.js";

listen("phones", () => refresh("phones"));
setInterval(() => { if (!document.hidden && document.querySelector("#close-door")) refresh("phones"); }, 10000);
