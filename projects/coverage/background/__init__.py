"""Questions looked into while the page goes on."""
