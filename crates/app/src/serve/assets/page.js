// @ts-check
// What every page does where scripts run.

document.documentElement.classList.add("scripted");
