"""What is said about a posterior: verdict, reasons, next checks, safety, dispatch."""
