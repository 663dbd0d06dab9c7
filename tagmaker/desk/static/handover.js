// The handover record: its progress, then what is open of it; a change on disk shows at once.

import { complain, listen, refresh, say } from "./common.js";

async function renew() {
  await refresh("handover");
  return document.querySelector("#handover h2, #handover strong")?.textContent.trim();
}

listen("work", async (work) => {
  if (work.kind !== "handover") return;
  const [bar, told] = [document.getElementById("making-record"), document.querySelector("#handover [data-told]")];
  if (work.state === "running" && bar && told) {
    [bar.max, bar.value] = [work.of || 1, work.done];
    told.textContent = `${work.done} of ${work.of}`;
  }
  if (work.state === "running") return;
  const result = await renew();
  if (work.state === "failed") complain("That failed. The page shows what to do.");
  else say(work.state === "done" ? result ?? "Done." : "Stopped.");
});
listen("changed", renew);
// a record that was done before this page listened
if (document.getElementById("handover").dataset.state === "running") setTimeout(renew, 1500);
