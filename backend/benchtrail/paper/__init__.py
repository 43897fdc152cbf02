"""What is printed: PDF documents drawn from packs and jobs. Knows paper and ink; asks services for content, no database."""
