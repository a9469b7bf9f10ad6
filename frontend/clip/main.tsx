/** Brings the film's page to life where it has one. */
const place = document.getElementById("clip");
if (place) place.dataset["alive"] = "yes";
